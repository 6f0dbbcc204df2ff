"""python3 back.py FROM.onnx SIZE TO.pt: weights of a shipped net as a checkpoint to go on from (what rounding took stays lost)."""
import sys
import numpy as np, onnx, torch
from onnx import numpy_helper
import render
from model import load

if __name__ == '__main__':
    file, size, to = sys.argv[1:]
    have = {t.name: numpy_helper.to_array(t).astype(np.float32) for t in onnx.load(file).graph.initializer}
    def one(name):
        if name + '_8' in have: return have[name + '_8'] * have[name + '_scale'].reshape(-1, *[1] * (have[name + '_8'].ndim - 1))
        return have[name + '_16'] if name + '_16' in have else have[name]
    state = {n[2:]: one(n) for n in {k.removesuffix('_8').removesuffix('_scale').removesuffix('_16') for k in have} if n.startswith('m.')}
    lstm = {one(k.removesuffix('_16')).shape[1:]: one(k.removesuffix('_16')) for k in have if 'LSTM' in k}
    (bias,), (into, across) = [s for s in lstm if len(s) == 1], sorted((s for s in lstm if len(s) == 2), key=lambda s: -s[1])
    def gates(a):   # of ONNX: in, out, forget, cell; of PyTorch: in, forget, cell, out
        i, o, f, c = np.split(a, 4); return np.concatenate([i, f, c, o])
    for n, back in enumerate(('', '_reverse')):
        state['lstm.weight_ih_l0' + back], state['lstm.weight_hh_l0' + back] = gates(lstm[into][n]), gates(lstm[across][n])
        b, r = np.split(lstm[bias][n], 2); state['lstm.bias_ih_l0' + back], state['lstm.bias_hh_l0' + back] = gates(b), gates(r)
    state['out.weight'] = one(next(k for k in have if 'MatMul' in k).removesuffix('_16')).T
    state = {k: torch.from_numpy(np.ascontiguousarray(v)) for k, v in state.items()}
    load(state, size, len(render.CHARS) + 1); torch.save(state, to)
