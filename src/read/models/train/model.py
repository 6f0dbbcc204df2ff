"""The recognizer: plain convolutions, one bidirectional LSTM, CTC. Input (N, 1, 40, W) in -1 (ink) ... 1 (paper); output (W/4, N, classes)."""
import torch, torch.nn as nn, torch.nn.functional as F

SIZES = {'S': dict(c=(16, 48, 96), n=(2, 1), mid=128, hidden=96), 'M': dict(c=(24, 64, 128), n=(3, 2), mid=192, hidden=128), 'N': dict(c=(24, 64, 128), n=(2, 2), mid=192, hidden=128), 'L': dict(c=(24, 64, 128), n=(1, 1), mid=192, hidden=128)}

class Conv(nn.Module):
    def __init__(self, i, o, k=3, s=1, p=1, res=False):
        super().__init__()
        self.share = 1.   # of what a residual layer adds: faded out before the layer is taken away
        self.conv, self.bn, self.res = nn.Conv2d(i, o, k, s, p, bias=False), nn.BatchNorm2d(o), res
    def forward(self, x):
        y = self.bn(self.conv(x))
        return F.relu(x + self.share * y if self.res else y)

class Net(nn.Module):
    def __init__(self, classes, c, n, mid, hidden):
        super().__init__()
        self.body = nn.Sequential(
            Conv(1, c[0], 5, 2, 2), Conv(c[0], c[1], 3, 2), *[Conv(c[1], c[1], res=True) for _ in range(n[0])],
            Conv(c[1], c[2], 3, (2, 1)), *[Conv(c[2], c[2], res=True) for _ in range(n[1])],
            Conv(c[2], mid, (5, 3), 1, (0, 1)))
        self.drop = nn.Dropout(.1)
        self.lstm = nn.LSTM(mid, hidden, bidirectional=True)
        self.out = nn.Linear(2 * hidden, classes)
    def forward(self, x):
        x = self.body(x).squeeze(2).permute(2, 0, 1)   # W/4, N, C
        x, _ = self.lstm(self.drop(x))
        return self.out(self.drop(x))

def fused(m):
    """Batch norms folded into the convolutions: half the time of a step is theirs, and what has learned goes on without them."""
    for c in m.body:
        c.conv, c.bn = nn.utils.fusion.fuse_conv_bn_eval(c.conv.eval(), c.bn.eval()), nn.Identity()
        c.conv.weight.requires_grad_(); c.conv.bias.requires_grad_()
    return m

def make(size, classes): return Net(classes, **SIZES[size])

def load(state, size, classes):
    """A net with these weights, fused where they are."""
    m = make(size, classes)
    if 'body.0.bn.weight' not in state: m = fused(m)
    m.load_state_dict(state); return m
