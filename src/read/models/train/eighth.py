"""python3 eighth.py FROM.onnx TO.onnx: weights of convolutions as 8-bit integers with a scale for each output, all others as
16-bit floats; each is turned back before it is used."""
import sys
import numpy as np, onnx
from onnx import numpy_helper, helper, TensorProto

model = onnx.load(sys.argv[1]); graph = model.graph; back = []
def keep(name, array): graph.initializer.append(numpy_helper.from_array(array, name)); return name
for t in list(graph.initializer):
    a = numpy_helper.to_array(t)
    if a.dtype != np.float32 or a.size < 64: continue
    graph.initializer.remove(t)
    if a.ndim == 4:
        flat = a.reshape(len(a), -1); most = np.abs(flat).max(1) / 127; most[most == 0] = 1
        tries = [most * part for part in np.linspace(.7, 1, 31)]   # the largest may be cut off where that leaves less noise
        whole = lambda s: np.clip(np.rint(flat / s[:, None]), -127, 127)
        noise = np.array([((whole(s) * s[:, None] - flat) ** 2).sum(1) for s in tries]).argmin(0)
        scale = np.array(tries)[noise, np.arange(len(a))]; q = whole(scale).astype(np.int8).reshape(a.shape)
        back.append(helper.make_node('DequantizeLinear', [keep(t.name + '_8', q), keep(t.name + '_scale', scale.astype(np.float32))], [t.name], axis=0))
    else: back.append(helper.make_node('Cast', [keep(t.name + '_16', a.astype(np.float16))], [t.name], to=TensorProto.FLOAT))
nodes = list(graph.node); del graph.node[:]; graph.node.extend(back + nodes)
for n in graph.node:   # constants of the exporter
    for a in n.attribute:
        if a.name == 'value' and a.t.data_type == TensorProto.FLOAT and n.op_type == 'Constant' and numpy_helper.to_array(a.t).size > 64: print('constant left', n.name)
onnx.checker.check_model(model); onnx.save(model, sys.argv[2])
