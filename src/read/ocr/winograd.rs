//! Convolutions with three columns, by fewer products than they have (Winograd 1980, "Arithmetic
//! Complexity of Computations").
//!
//! Three columns of a kernel are multiplied six times for each four of the outcome, not twelve times; the
//! points are 0, 1, -1, 2, -2 and infinity. Of the layers that keep the size of their map, three rows are
//! multiplied seven times for each five, not fifteen times: these maps have five or ten rows. The points
//! are the same and a half; what a map has at a half and at the other six is one formula, since those
//! six are the sums of the columns, taken of each row less half of the row before it.

use rten_gemm::{BiasVector, GemmExecutor, GemmInputA, GemmInputB, GemmOptions, PackedAMatrix};
use rten_simd::ops::NumOps;
use rten_tensor::prelude::*;
use rten_tensor::{NdTensor, NdTensorView};

use super::lanes::{Formula, each};
use super::maps::{FOUR, Free, Maps, Places, fours, fours_mut};

/// Products for four columns of the outcome.
const SIX: usize = 6;
/// Rows of the outcome that are worked out together, and products for them.
const FIVE: usize = 5;
const SEVEN: usize = 7;
/// What each of the six products has of the three columns of a kernel.
const OF_COLUMNS: [[f32; 3]; SIX] = [
    [1.0 / 4.0, 0.0, 0.0],
    [-1.0 / 6.0, -1.0 / 6.0, -1.0 / 6.0],
    [-1.0 / 6.0, 1.0 / 6.0, -1.0 / 6.0],
    [1.0 / 24.0, 1.0 / 12.0, 1.0 / 6.0],
    [1.0 / 24.0, -1.0 / 12.0, 1.0 / 6.0],
    [0.0, 0.0, 1.0],
];
/// What each of the seven has of the three rows: at 0, 1, -1, 2, -2, infinity and a half.
const OF_ROWS: [[f32; 3]; SEVEN] = [
    [-1.0 / 2.0, 0.0, 0.0],
    [-1.0 / 3.0, -1.0 / 3.0, -1.0 / 3.0],
    [1.0 / 9.0, -1.0 / 9.0, 1.0 / 9.0],
    [1.0 / 36.0, 1.0 / 18.0, 1.0 / 9.0],
    [-1.0 / 60.0, 1.0 / 30.0, -1.0 / 15.0],
    [0.0, 0.0, 1.0],
    [32.0 / 45.0, 16.0 / 45.0, 8.0 / 45.0],
];
/// The product at the point 1 is a part of each column and row of the outcome: it takes the bias along.
const AT_ONE: usize = 1;

/// A convolution with three columns.
pub(super) struct Layer {
    /// Rows of the kernel.
    rows: usize,
    /// Rows of nothing above and below.
    padding: usize,
    /// For each product an output in each row: rows of the kernel, each with all inputs; of a layer that
    /// is residual all inputs, for each product of columns at the first point of rows, then the next.
    weights: Vec<PackedAMatrix<f32>>,
    bias: Vec<f32>,
    /// Whether what comes in is added to what goes out.
    is_residual: bool,
}

/// What layers need while they work.
#[derive(Default)]
pub(super) struct Work {
    /// A row above and below a map.
    nothing: Vec<f32>,
    /// What the products are given, and what they give.
    sums: [Vec<f32>; SIX],
    products: [Vec<f32>; SIX],
    /// For each point of rows first what is multiplied, then what comes of it.
    points: [Vec<f32>; SEVEN],
}

/// An outcome in each row of `to`.
pub(super) fn product(
    gemm: &GemmExecutor,
    weights: &PackedAMatrix<f32>,
    from: &[f32],
    to: &mut [f32],
    bias: Option<&[f32]>,
) -> Option<()> {
    let shape = [weights.cols(), from.len() / weights.cols().max(1)];
    let from = NdTensorView::from_data(shape, from);
    let options = GemmOptions {
        bias: bias.map(BiasVector::Column),
        ..GemmOptions::default()
    };
    let (weights, from) = (GemmInputA::Packed(weights), GemmInputB::Unpacked(from));
    gemm.gemm(to, weights, from, options).ok()
}

/// Products of sums, the bias with one of them.
fn products(
    gemm: &GemmExecutor,
    weights: &[PackedAMatrix<f32>],
    sums: [&[f32]; SIX],
    to: &mut [Vec<f32>; SIX],
    bias: Option<&[f32]>,
) -> Option<()> {
    for (n, ((weights, sums), to)) in weights.iter().zip(sums).zip(to).enumerate() {
        product(gemm, weights, sums, to, bias.filter(|_| n == AT_ONE))?;
    }
    Some(())
}

impl Layer {
    pub(super) fn of(
        gemm: &GemmExecutor,
        weights: &NdTensor<f32, 4>,
        bias: Vec<f32>,
    ) -> Option<Self> {
        let [outputs, inputs, rows, across] = weights.shape();
        let is_residual = inputs == outputs;
        if across != 3 || bias.len() != outputs || is_residual && rows != 3 {
            return None;
        }
        let kernels: &[[f32; 3]] = weights.data()?.as_chunks().0;
        // outputs, rows, inputs; the file has rows behind inputs
        let of_columns = |n: usize| {
            let of = OF_COLUMNS.get(n).copied().unwrap_or_default();
            let all = 0..outputs * rows * inputs;
            let kernels = all.map(move |at| {
                let (output, row, input) = (at / (rows * inputs), at / inputs % rows, at % inputs);
                kernels.get((output * inputs + input) * rows + row)
            });
            kernels.map(move |kernel| kernel.map_or(0.0, |kernel| dot(&of, kernel)))
        };
        let packed = |all: Vec<f32>| {
            let columns = all.len() / outputs;
            gemm.prepack_a(NdTensor::from_data([outputs, columns], all).view())
        };
        let weights = if is_residual {
            let sums: Vec<Vec<f32>> = (0..SIX).map(|n| of_columns(n).collect()).collect();
            let of_rows = |(point, sums): (&[f32; 3], &Vec<f32>)| {
                let all = sums.chunks_exact(rows * inputs).flat_map(|of_output| {
                    let row = |n: usize| of_output.iter().skip(n * inputs).take(inputs);
                    let three = row(0).zip(row(1)).zip(row(2));
                    three.map(|((a, b), c)| dot(point, &[*a, *b, *c]))
                });
                packed(all.collect())
            };
            let points = OF_ROWS
                .iter()
                .flat_map(|p| sums.iter().map(move |s| (p, s)));
            points.map(of_rows).collect()
        } else {
            (0..SIX).map(|n| packed(of_columns(n).collect())).collect()
        };
        Some(Self {
            rows,
            padding: usize::from(rows == 3),
            weights,
            bias,
            is_residual,
        })
    }

    /// Channels of the outcome.
    pub(super) const fn outputs(&self) -> usize {
        self.bias.len()
    }

    /// What goes out.
    pub(super) fn outcome(
        &self,
        gemm: &GemmExecutor,
        from: &Maps,
        (free, work): (&mut Free, &mut Work),
        places: Places,
    ) -> Option<Maps> {
        for products in &mut work.products {
            products.resize(self.outputs() * from.count, 0.0);
        }
        if self.is_residual {
            self.same(gemm, from, (free, work), places)
        } else {
            self.other(gemm, from, (free, work), places)
        }
    }

    /// Of a layer that has another size: every second row, or one of all.
    fn other(
        &self,
        gemm: &GemmExecutor,
        from: &Maps,
        (free, work): (&mut Free, &mut Work),
        places: Places,
    ) -> Option<Maps> {
        const STRIDE: usize = 2;
        let rows = (from.rows() + 2 * self.padding).checked_sub(self.rows)? / STRIDE + 1;
        let mut to = Maps::of(free, [rows, FOUR, self.outputs()], places);
        let each_row = from.channels * from.count;
        for sums in &mut work.sums {
            sums.resize((from.rows() + 2 * self.padding) * each_row, 0.0);
            sums[..self.padding * each_row].fill(0.0);
            sums[(from.rows() + self.padding) * each_row..].fill(0.0);
        }
        for row in 0..from.rows() {
            let at = (row + self.padding) * each_row;
            let to = work.sums.each_mut().map(|s| &mut s[at..at + each_row]);
            summed(from.four(row), to);
        }
        for row in 0..rows {
            let near = row * STRIDE * each_row..(row * STRIDE + self.rows) * each_row;
            let sums = work.sums.each_ref().map(|s| &s[near.clone()]);
            products(
                gemm,
                &self.weights,
                sums,
                &mut work.products,
                Some(&self.bias),
            )?;
            let six = work.products.each_ref().map(Vec::as_slice);
            for column in joined(six, to.four_mut(row)) {
                column.iter_mut().for_each(|x| *x = x.max(0.0));
                places.part(column);
            }
        }
        Some(to)
    }

    /// Of a layer that keeps the size; `None` of rows that are no fives.
    fn same(
        &self,
        gemm: &GemmExecutor,
        from: &Maps,
        (free, work): (&mut Free, &mut Work),
        places: Places,
    ) -> Option<Maps> {
        if !from.rows().is_multiple_of(FIVE) {
            return None;
        }
        let mut to = Maps::of(free, [from.rows(), FOUR, self.outputs()], places);
        let each_row = FOUR * from.channels * from.count;
        work.nothing.resize(each_row, 0.0);
        for many in &mut work.points {
            many.resize(each_row, 0.0);
        }
        for sums in &mut work.sums {
            sums.resize(from.channels * from.count, 0.0);
        }
        for first in (0..from.rows()).step_by(FIVE) {
            let near = std::array::from_fn(|n| {
                let row = (first + n).checked_sub(1).filter(|row| *row < from.rows());
                row.map_or(work.nothing.as_slice(), |row| from.of_columns(row, 0..FOUR))
            });
            each(Points, near, work.points.each_mut().map(Vec::as_mut_slice));
            let weights = self.weights.chunks_exact(SIX);
            for (n, (point, weights)) in work.points.iter_mut().zip(weights).enumerate() {
                let sums = work.sums.each_mut().map(Vec::as_mut_slice);
                summed(fours(point), sums);
                let sums = work.sums.each_ref().map(Vec::as_slice);
                let bias = (n == AT_ONE).then_some(self.bias.as_slice());
                products(gemm, weights, sums, &mut work.products, bias)?;
                joined(
                    work.products.each_ref().map(Vec::as_slice),
                    fours_mut(point),
                );
            }
            let points = work.points.each_ref().map(Vec::as_slice);
            for row in ended(points, from, first, to.rows_mut(first)) {
                places.part(row);
            }
        }
        Some(to)
    }
}

fn dot(a: &[f32; 3], b: &[f32; 3]) -> f32 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

/// The sums of six columns side by side, the four of a block and one on each side of it. What stands at
/// either end is none of a line.
fn summed(four: [&[f32]; FOUR], to: [&mut [f32]; SIX]) {
    let n = four[0].len().saturating_sub(2);
    let to = to.map(|to| {
        to[0] = 0.0;
        to[n + 1] = 0.0;
        &mut to[1..=n]
    });
    let [a, b, c, d] = four;
    let six = [
        &d[..n],
        &a[1..=n],
        &b[1..=n],
        &c[1..=n],
        &d[1..=n],
        &a[2..n + 2],
    ];
    each(Sums, six, to);
}

/// Four columns of the outcome from the six products.
fn joined<'t>(six: [&[f32]; SIX], mut four: [&'t mut [f32]; FOUR]) -> [&'t mut [f32]; FOUR] {
    each(Joined, six, four.each_mut().map(|to| &mut **to));
    four
}

/// Five rows of the outcome, with what came in added.
fn ended<'t>(
    points: [&[f32]; SEVEN],
    from: &Maps,
    first: usize,
    mut to: [&'t mut [f32]; FIVE],
) -> [&'t mut [f32]; FIVE] {
    let all = std::array::from_fn(|n| match points.get(n) {
        Some(point) => point,
        None => from.of_columns(first + n - SEVEN, 0..FOUR),
    });
    each(Ended, all, to.each_mut().map(|to| &mut **to));
    to
}

/// What six numbers are at 0, 1, -1, 2, -2 and infinity.
struct Sums;

impl Formula<SIX, SIX> for Sums {
    #[inline(always)]
    fn of<N: NumOps<f32>>(n: N, x: [N::Simd; SIX]) -> [N::Simd; SIX] {
        let [x0, x1, x2, x3, x4, x5] = x;
        let (two, four, five) = (n.splat(2.0), n.splat(4.0), n.splat(-5.0));
        let less_four = n.splat(-4.0);
        let (even, odd) = (n.mul_add(x2, less_four, x4), n.mul_add(x1, less_four, x3));
        let (near, far) = (n.sub(x4, x2), n.mul(two, n.sub(x3, x1)));
        [
            n.mul_add(four, x0, n.mul_add(five, x2, x4)),
            n.add(even, odd),
            n.sub(even, odd),
            n.add(near, far),
            n.sub(near, far),
            n.mul_add(four, x1, n.mul_add(five, x3, x5)),
        ]
    }
}

/// What seven rows are at these points and at a half.
struct Points;

impl Formula<SEVEN, SEVEN> for Points {
    #[inline(always)]
    fn of<N: NumOps<f32>>(n: N, x: [N::Simd; SEVEN]) -> [N::Simd; SEVEN] {
        let half = n.splat(-0.5);
        let [x0, x1, x2, x3, x4, x5, x6] = x;
        let six = [
            n.mul_add(half, x0, x1),
            n.mul_add(half, x1, x2),
            n.mul_add(half, x2, x3),
            n.mul_add(half, x3, x4),
            n.mul_add(half, x4, x5),
            n.mul_add(half, x5, x6),
        ];
        let [a, b, c, d, e, f] = Sums::of(n, six);
        let (four, five) = (n.splat(4.0), n.splat(-5.0));
        let at_half = n.mul_add(four, x1, n.mul_add(five, x3, x5));
        [a, b, c, d, e, f, at_half]
    }
}

/// Four numbers from what their product is at the six points.
struct Joined;

impl Formula<SIX, FOUR> for Joined {
    #[inline(always)]
    fn of<N: NumOps<f32>>(n: N, [p0, p1, p2, p3, p4, p5]: [N::Simd; SIX]) -> [N::Simd; FOUR] {
        let (sum, apart) = (n.add(p1, p2), n.sub(p1, p2));
        let (far_sum, far_apart) = (n.add(p3, p4), n.sub(p3, p4));
        let (two, four, eight) = (n.splat(2.0), n.splat(4.0), n.splat(8.0));
        [
            n.add(n.add(p0, sum), far_sum),
            n.mul_add(two, far_apart, apart),
            n.mul_add(four, far_sum, sum),
            n.add(n.mul_add(eight, far_apart, apart), p5),
        ]
    }
}

/// Five numbers from what their product is at the seven points, with five others added; at least 0.
struct Ended;

impl Formula<{ SEVEN + FIVE }, FIVE> for Ended {
    #[inline(always)]
    fn of<N: NumOps<f32>>(n: N, x: [N::Simd; SEVEN + FIVE]) -> [N::Simd; FIVE] {
        let [p0, p1, p2, p3, p4, p5, once, a, b, c, d, e] = x;
        let (sum, apart) = (n.add(p1, p2), n.sub(p1, p2));
        let (far_sum, far_apart) = (n.add(p3, p4), n.sub(p3, p4));
        let (two, four) = (n.splat(2.0), n.splat(4.0));
        let (eight, sixteen) = (n.splat(8.0), n.splat(16.0));
        let half = n.mul(n.splat(0.5), once);
        let quarter = n.mul(n.splat(0.5), half);
        let eighth = n.mul(n.splat(0.5), quarter);
        let sixteenth = n.mul(n.splat(0.5), eighth);
        let nothing = n.zero();
        let first = n.add(n.add(n.add(p0, sum), n.add(far_sum, once)), a);
        let second = n.add(n.mul_add(two, far_apart, n.add(half, apart)), b);
        let third = n.add(n.mul_add(four, far_sum, n.add(quarter, sum)), c);
        let fourth = n.add(n.mul_add(eight, far_apart, n.add(eighth, apart)), d);
        let fifth = n.mul_add(sixteen, far_sum, n.add(sixteenth, sum));
        let fifth = n.add(fifth, n.add(p5, e));
        [
            n.max(first, nothing),
            n.max(second, nothing),
            n.max(third, nothing),
            n.max(fourth, nothing),
            n.max(fifth, nothing),
        ]
    }
}
