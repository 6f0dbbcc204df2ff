"""python3 halve.py FROM.onnx TO.onnx: weights as 16-bit floats, each cast back before it is used."""
import sys
import numpy as np, onnx
from onnx import numpy_helper, helper, TensorProto

model = onnx.load(sys.argv[1]); graph = model.graph; casts = []
for t in list(graph.initializer):
    a = numpy_helper.to_array(t)
    if a.dtype != np.float32 or a.size < 64: continue
    graph.initializer.remove(t)
    graph.initializer.append(numpy_helper.from_array(a.astype(np.float16), t.name + '_16'))
    casts.append(helper.make_node('Cast', [t.name + '_16'], [t.name], to=TensorProto.FLOAT))
nodes = list(graph.node); del graph.node[:]; graph.node.extend(casts + nodes)
for n in graph.node:   # constants of the exporter
    for a in n.attribute:
        if a.name == 'value' and a.t.data_type == TensorProto.FLOAT and n.op_type == 'Constant' and numpy_helper.to_array(a.t).size > 64: print('constant left', n.name)
onnx.checker.check_model(model); onnx.save(model, sys.argv[2])
