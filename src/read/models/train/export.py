"""python3 export.py CHECKPOINT SIZE FILE.onnx: batch norms folded into the convolutions, checked against PyTorch."""
import sys, numpy as np, torch, torch.nn as nn, onnxruntime
import render
from model import fused, load

class Out(nn.Module):
    def __init__(self, m): super().__init__(); self.m = m
    def forward(self, x):
        for c in self.m.body:
            y = c.conv(x); x = torch.relu(x + y if c.res else y)
        x, _ = self.m.lstm(x.squeeze(2).permute(2, 0, 1))
        return torch.log_softmax(self.m.out(x), 2).permute(1, 0, 2)

if __name__ == '__main__':
    ck, size, file = sys.argv[1:4]
    m = load(torch.load(ck, map_location='cpu'), size, len(render.CHARS) + 1).eval(); x = torch.randn(2, 1, 40, 640)
    with torch.no_grad(): want = torch.log_softmax(m(x), 2).permute(1, 0, 2)
    if not isinstance(m.body[0].bn, nn.Identity): m = fused(m).eval()
    torch.onnx.export(Out(m).eval(), (x,), file, input_names=['line'], output_names=['scores'], dynamic_axes={'line': {0: 'n', 3: 'w'}, 'scores': {0: 'n', 1: 't'}}, opset_version=17, dynamo=False)
    s = onnxruntime.InferenceSession(file); got = s.run(None, {'line': x.numpy()})[0]
    print(file, 'largest difference', np.abs(got - want.numpy()).max(), 'weights', sum(p.numel() for p in m.parameters()))
