//! The operators that nets which find and read lines are made of. The program holds no others, which makes it
//! a megabyte smaller.

use rten::{ModelOptions, op_registry};

/// Loads nets of these operators; a net with another one is refused as broken.
pub(super) fn options() -> ModelOptions {
    ModelOptions::with_ops(op_registry!(
        Add,
        AveragePool,
        BatchNormalization,
        Cast,
        Ceil,
        Clip,
        Concat,
        ConstantOfShape,
        Conv,
        ConvTranspose,
        DequantizeLinear,
        Div,
        Equal,
        Expand,
        Flatten,
        Floor,
        GRU,
        Gather,
        Gemm,
        GlobalAveragePool,
        HardSigmoid,
        HardSwish,
        Identity,
        LSTM,
        LeakyRelu,
        LogSoftmax,
        MatMul,
        MaxPool,
        Mul,
        Pad,
        Pow,
        ReduceMean,
        Relu,
        Reshape,
        Resize,
        Shape,
        Sigmoid,
        Slice,
        Softmax,
        Split,
        Sqrt,
        Squeeze,
        Sub,
        Tanh,
        Transpose,
        Unsqueeze,
        Where
    ))
}
