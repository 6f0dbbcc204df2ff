//! The net that reads lines: its convolutions are worked out here, what comes behind them by the library.
//!
//! The library lays out the pixels around each pixel before it multiplies, which takes as long as
//! multiplying where there are few channels. Here every fourth column of a line stands side by side
//! ([`Maps`]), so that what lies beside them is another such set, and nothing is laid out anew. And three
//! columns of a kernel are multiplied six times for each four of the outcome, not twelve times (Winograd
//! 1980, "Arithmetic Complexity of Computations"; the points are 0, 1, -1, 2, -2 and infinity).

use std::ops::Range;
use std::sync::{Arc, Mutex, PoisonError};

use image::GrayImage;
use rten::{Model, ModelOptions, NodeId, RunOptions, ThreadPool};
use rten_gemm::{BiasVector, GemmExecutor, GemmInputA, GemmInputB, GemmOptions, PackedAMatrix};
use rten_tensor::prelude::*;
use rten_tensor::{NdTensor, NdTensorView};

/// What the recurrent layer is given: steps, lines, channels.
const RECURRENT: &str = "/Transpose_output_0";
/// Columns of a line that one step of the outcome stands for.
pub(super) const STEP: usize = 4;
/// Columns of the outcome that are worked out together, and products for them.
const FOUR: usize = 4;
const SIX: usize = 6;
/// Columns of a line that stand at one place of a map.
const BLOCK: usize = FOUR * STEP;
/// Places worked out together: what is needed of so many is near at hand, in the cache of a core.
const NEAR: usize = 130;
/// What each of the six products has of the three columns of a kernel.
const KERNEL: [[f32; 3]; SIX] = [
    [1.0 / 4.0, 0.0, 0.0],
    [-1.0 / 6.0, -1.0 / 6.0, -1.0 / 6.0],
    [-1.0 / 6.0, 1.0 / 6.0, -1.0 / 6.0],
    [1.0 / 24.0, 1.0 / 12.0, 1.0 / 6.0],
    [1.0 / 24.0, -1.0 / 12.0, 1.0 / 6.0],
    [0.0, 0.0, 1.0],
];

/// The net, loaded.
pub(super) struct Net {
    model: Model,
    recurrent: NodeId,
    scores: NodeId,
    /// Both take every second row and column.
    halving: [Halving; 2],
    layers: Vec<Layer>,
    /// Of those who read side by side.
    rooms: Mutex<Vec<Room>>,
}

/// A convolution for every second row and column.
struct Halving {
    /// Rows and columns of the kernel, and so many before its middle.
    side: usize,
    before: usize,
    outputs: usize,
    /// An output in each row: columns of the kernel, each with its rows, each with all inputs.
    weights: PackedAMatrix<f32>,
    bias: Vec<f32>,
}

/// A convolution with three columns.
struct Layer {
    /// Rows of the kernel.
    rows: usize,
    /// Rows from one outcome to the next.
    stride: usize,
    /// Rows of nothing above and below.
    padding: usize,
    outputs: usize,
    /// For each product an output in each row: rows of the kernel, each with all inputs.
    weights: Vec<PackedAMatrix<f32>>,
    bias: Vec<f32>,
    /// Whether what comes in is added to what goes out.
    is_residual: bool,
}

/// Memory that is used again: most of it would be made nothing, only to be written over.
#[derive(Default)]
struct Room {
    maps: Vec<Vec<f32>>,
    sums: [Vec<f32>; SIX],
    products: [Vec<f32>; SIX],
}

impl Room {
    /// So many numbers, whichever.
    fn take(&mut self, count: usize) -> Vec<f32> {
        let mut all = self.maps.pop().unwrap_or_default();
        all.resize(count, 0.0);
        all
    }
}

/// Where lines stand in a map: one behind another, in blocks of columns, with nothing between.
#[derive(Clone, Copy)]
struct Places {
    lines: usize,
    blocks: usize,
}

impl Places {
    const fn count(self) -> usize {
        self.lines * (self.blocks + 1) + 1
    }

    const fn of(self, line: usize) -> Range<usize> {
        let start = line * (self.blocks + 1) + 1;
        start..start + self.blocks
    }

    /// Makes what stands between the lines nothing.
    fn part(self, all: &mut [f32]) {
        for between in all.iter_mut().step_by(self.blocks + 1) {
            *between = 0.0;
        }
    }
}

/// Rows of channels. In memory rows come first, then the columns of a block, channels, and the
/// places: what a product takes of neighbors lies in one piece.
struct Maps {
    columns: usize,
    channels: usize,
    count: usize,
    all: Vec<f32>,
}

impl Maps {
    /// Of any numbers.
    fn of(room: &mut Room, [rows, columns, channels]: [usize; 3], places: Places) -> Self {
        let count = places.count();
        Self {
            columns,
            channels,
            count,
            all: room.take(rows * columns * channels * count),
        }
    }

    /// The same; the first and the last row are nothing, of which a kernel may meet a part only.
    fn framed(room: &mut Room, [rows, columns, channels]: [usize; 3], places: Places) -> Self {
        let mut maps = Self::of(room, [rows, columns, channels], places);
        maps.of_columns_mut(0, 0..columns).fill(0.0);
        maps.of_columns_mut(rows.saturating_sub(1), 0..columns)
            .fill(0.0);
        maps
    }

    const fn rows(&self) -> usize {
        self.all.len() / (self.columns * self.channels * self.count)
    }

    const fn at(&self, row: usize, columns: Range<usize>) -> Range<usize> {
        let (each, row) = (self.channels * self.count, row * self.columns);
        (row + columns.start) * each..(row + columns.end) * each
    }

    /// All channels of some columns.
    fn of_columns(&self, row: usize, columns: Range<usize>) -> &[f32] {
        &self.all[self.at(row, columns)]
    }

    fn of_columns_mut(&mut self, row: usize, columns: Range<usize>) -> &mut [f32] {
        let at = self.at(row, columns);
        &mut self.all[at]
    }

    /// The four columns of a channel, in all places.
    fn four(&self, row: usize, channel: usize) -> [&[f32]; FOUR] {
        std::array::from_fn(|column| {
            let of = self.of_columns(row, column..column + 1);
            &of[channel * self.count..(channel + 1) * self.count]
        })
    }

    fn four_mut(&mut self, row: usize, channel: usize) -> [&mut [f32]; FOUR] {
        let (count, each) = (self.count, self.channels * self.count);
        let mut columns = self.of_columns_mut(row, 0..FOUR).chunks_exact_mut(each);
        std::array::from_fn(|_| {
            let of = columns.next().unwrap_or_default();
            &mut of[channel * count..(channel + 1) * count]
        })
    }

    /// Puts some channels, from the `first` on, into their column of a block of so many `columns`, behind
    /// so many kept `before`, and where they are the neighbors of another block.
    fn put(
        &mut self,
        row: usize,
        first: usize,
        (column, columns, before): (usize, usize, usize),
        from: &[f32],
    ) {
        let here = column + before;
        let count = self.count;
        let places = [
            (Some(here), 0),
            (here.checked_sub(columns), 1),
            (Some(here + columns), -1),
        ];
        for (to, by) in places {
            let Some(to) = to.filter(|&to| to < self.columns) else {
                continue;
            };
            let to = self.of_columns_mut(row, to..to + 1);
            let to = &mut to[first * count..first * count + from.len()];
            match by {
                0 => to.copy_from_slice(from),
                // either end of each row of places is nothing
                1 => {
                    to[0] = 0.0;
                    to[1..].copy_from_slice(&from[..from.len() - 1]);
                }
                _ => {
                    to[..from.len() - 1].copy_from_slice(&from[1..]);
                    to[from.len() - 1] = 0.0;
                }
            }
        }
    }
}

/// An outcome in each row of `to`.
fn product(
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

impl Halving {
    fn of(gemm: &GemmExecutor, weights: &NdTensor<f32, 4>, bias: Vec<f32>) -> Option<Self> {
        let [outputs, inputs, side, across] = weights.shape();
        let each = side * inputs;
        let of = |o: usize, n: usize| weights[[o, n % inputs, n % each / inputs, n / each]];
        let all = (0..outputs * side * each).map(|n| of(n / (side * each), n % (side * each)));
        let all = NdTensor::from_data([outputs, side * each], all.collect::<Vec<f32>>());
        (side == across && bias.len() == outputs).then(|| Self {
            side,
            before: side / 2,
            outputs,
            weights: gemm.prepack_a(all.view()),
            bias,
        })
    }

    /// Columns to be kept of blocks of so many: those of the neighbors, too.
    const fn kept(&self, columns: usize) -> usize {
        // the last one worked out stands one before the end
        columns + self.side - 2
    }

    /// What goes out for a row and a column: `from` has the rows of the kernel as channels.
    fn outcome(
        &self,
        gemm: &GemmExecutor,
        from: &Maps,
        (row, column): (usize, usize),
        to: &mut [f32],
        places: Places,
    ) -> Option<()> {
        let near = from.of_columns(row, 2 * column..2 * column + self.side);
        product(gemm, &self.weights, near, to, Some(&self.bias))?;
        for channel in to.chunks_exact_mut(places.count()) {
            channel.iter_mut().for_each(|x| *x = x.max(0.0));
            places.part(channel);
        }
        Some(())
    }

    /// The rows that this kernel meets a row in, and where in it.
    fn meets(&self, row: usize, rows: usize) -> impl Iterator<Item = (usize, usize)> {
        let sum = row + self.before;
        (0..self.side)
            .filter(move |n| *n <= sum && (sum - n).is_multiple_of(2))
            .map(move |n| ((sum - n) / 2, n))
            .filter(move |(to, _)| *to < rows)
    }
}

impl Layer {
    fn of(gemm: &GemmExecutor, weights: &NdTensor<f32, 4>, bias: Vec<f32>) -> Option<Self> {
        let [outputs, inputs, rows, across] = weights.shape();
        let is_residual = inputs == outputs;
        // outputs, rows, inputs; the file has rows behind inputs
        let mut sums: [Vec<f32>; SIX] = std::array::from_fn(|_| Vec::new());
        let kernels = weights.data()?.as_chunks().0;
        for of_output in kernels.chunks_exact(inputs * rows) {
            for row in 0..rows {
                for [a, b, c] in of_output.iter().skip(row).step_by(rows) {
                    for (sums, [x, y, z]) in sums.iter_mut().zip(&KERNEL) {
                        sums.push(a * x + b * y + c * z);
                    }
                }
            }
        }
        let packed =
            |sums| gemm.prepack_a(NdTensor::from_data([outputs, rows * inputs], sums).view());
        (across == 3 && bias.len() == outputs).then(|| Self {
            rows,
            stride: if is_residual { 1 } else { 2 },
            padding: usize::from(rows == 3),
            outputs,
            weights: sums.into_iter().map(packed).collect(),
            bias,
            is_residual,
        })
    }

    /// What goes out.
    fn outcome(
        &self,
        gemm: &GemmExecutor,
        from: &Maps,
        room: &mut Room,
        places: Places,
    ) -> Option<Maps> {
        let count = places.count();
        let rows = (from.rows() + 2 * self.padding).checked_sub(self.rows)? / self.stride + 1;
        let mut to = Maps::of(room, [rows, FOUR, self.outputs], places);
        self.sum(from, &mut room.sums);
        for product in &mut room.products {
            product.resize(self.outputs * count, 0.0);
        }
        let (sums, products) = (&room.sums, &mut room.products);
        let each = from.channels * count;
        for row in 0..rows {
            let near = row * self.stride * each..(row * self.stride + self.rows) * each;
            for ((sums, weights), product_of) in sums.iter().zip(&self.weights).zip(&mut *products)
            {
                product(gemm, weights, sums.get(near.clone())?, product_of, None)?;
            }
            for (channel, bias) in self.bias.iter().enumerate() {
                let before = self.is_residual.then(|| from.four(row, channel));
                let of = channel * count..(channel + 1) * count;
                let six = std::array::from_fn(|n| &products[n][of.clone()]);
                joined(six, to.four_mut(row, channel), *bias, before, places);
            }
        }
        Some(to)
    }

    /// The six sums of columns that the products take, with rows of nothing above and below.
    fn sum(&self, from: &Maps, sums: &mut [Vec<f32>; SIX]) {
        let (count, rows) = (from.count, from.rows());
        let each = from.channels * count;
        for sums in &mut *sums {
            sums.resize((rows + 2 * self.padding) * each, 0.0);
            sums[..self.padding * each].fill(0.0);
            sums[(rows + self.padding) * each..].fill(0.0);
        }
        for row in 0..rows {
            for channel in 0..from.channels {
                let at = (row + self.padding) * each + channel * count;
                let to = sums.each_mut().map(|s| &mut s[at..at + count]);
                summed(from.four(row, channel), to);
            }
        }
    }
}

/// The sums of six columns side by side, the four of a block and one on each side of it; at either end
/// of the places they are nothing.
fn summed(four: [&[f32]; FOUR], to: [&mut [f32]; SIX]) {
    let n = four[0].len().saturating_sub(2);
    let [s0, s1, s2, s3, s4, s5] = to.map(|to| {
        to[0] = 0.0;
        to[n + 1] = 0.0;
        &mut to[1..=n]
    });
    let [a, b, c, d] = four;
    let (x0, x1, x2) = (&d[..n], &a[1..=n], &b[1..=n]);
    let (x3, x4, x5) = (&c[1..=n], &d[1..=n], &a[2..n + 2]);
    for i in 0..n {
        let (x1, x2, x3, x4) = (x1[i], x2[i], x3[i], x4[i]);
        let (even, odd) = (x4 - 4.0 * x2, x3 - 4.0 * x1);
        let (near, far) = (x4 - x2, 2.0 * (x3 - x1));
        s0[i] = 4.0 * x0[i] - 5.0 * x2 + x4;
        s1[i] = even + odd;
        s2[i] = even - odd;
        s3[i] = near + far;
        s4[i] = near - far;
        s5[i] = 4.0 * x1 - 5.0 * x3 + x5[i];
    }
}

/// Four columns of the outcome from the six products.
fn joined(
    six: [&[f32]; SIX],
    four: [&mut [f32]; FOUR],
    bias: f32,
    before: Option<[&[f32]; FOUR]>,
    places: Places,
) {
    let [p0, p1, p2, p3, p4, p5] = six;
    let n = p0.len();
    let (p1, p2, p3, p4, p5) = (&p1[..n], &p2[..n], &p3[..n], &p4[..n], &p5[..n]);
    let [a, b, c, d] = four;
    {
        let (a, b, c, d) = (&mut a[..n], &mut b[..n], &mut c[..n], &mut d[..n]);
        for i in 0..n {
            let (sum, apart) = (p1[i] + p2[i], p1[i] - p2[i]);
            let (far_sum, far_apart) = (p3[i] + p4[i], p3[i] - p4[i]);
            a[i] = p0[i] + sum + far_sum + bias;
            b[i] = apart + 2.0 * far_apart + bias;
            c[i] = sum + 4.0 * far_sum + bias;
            d[i] = apart + 8.0 * far_apart + p5[i] + bias;
        }
    }
    for (column, to) in [a, b, c, d].into_iter().enumerate() {
        match before.and_then(|before| before.get(column).copied()) {
            Some(before) => to
                .iter_mut()
                .zip(before)
                .for_each(|(to, x)| *to = (*to + x).max(0.0)),
            None => to.iter_mut().for_each(|to| *to = to.max(0.0)),
        }
        places.part(to);
    }
}

impl Net {
    /// Loads it; `None` where it is broken.
    pub(super) fn load(bytes: &'static [u8]) -> Option<Self> {
        // as it stands in the file: each layer has its name, and what is worked out here is not worked
        // out twice
        let mut options = ModelOptions::with_all_ops();
        options.enable_optimization(false);
        let model = options.load_static_slice(bytes).ok()?;
        let gemm = GemmExecutor::default();
        let of = |n: usize| {
            let name = |what| model.find_node(&format!("m.body.{n}.conv.{what}"));
            let both = [name("weight")?, name("bias")?];
            let [weights, bias] = model.run_n(Vec::new(), both, None).ok()?;
            let weights: NdTensor<f32, 4> = weights.try_into().ok()?;
            let bias: NdTensor<f32, 1> = bias.try_into().ok()?;
            Some((weights, bias.to_vec()))
        };
        let halving = |n: usize| of(n).and_then(|(w, b)| Halving::of(&gemm, &w, b));
        Some(Self {
            recurrent: model.find_node(RECURRENT)?,
            scores: *model.output_ids().first()?,
            halving: [halving(0)?, halving(1)?],
            layers: (2..)
                .map_while(of)
                .map(|(w, b)| Layer::of(&gemm, &w, b))
                .collect::<Option<_>>()?,
            model,
            rooms: Mutex::default(),
        })
    }

    /// Logarithms of likelihoods: lines, steps of four columns, classes. All lines are as high, and have
    /// paper behind them up to `width`.
    pub(super) fn scores(
        &self,
        lines: &[GrayImage],
        width: usize,
        pool: &Arc<ThreadPool>,
    ) -> Option<NdTensor<f32, 3>> {
        // the library would start threads of its own
        let rooms = || self.rooms.lock().unwrap_or_else(PoisonError::into_inner);
        let mut room = rooms().pop().unwrap_or_default();
        let input = pool.run(|| self.convolved(lines, width.div_ceil(BLOCK), &mut room));
        rooms().push(room);
        let options = RunOptions::default().with_thread_pool(Some(Arc::clone(pool)));
        let inputs = vec![(self.recurrent, input?.into())];
        let [scores] = self
            .model
            .run_n(inputs, [self.scores], Some(options))
            .ok()?;
        scores.try_into().ok()
    }

    /// What the recurrent layer is given.
    fn convolved(
        &self,
        lines: &[GrayImage],
        blocks: usize,
        room: &mut Room,
    ) -> Option<NdTensor<f32, 3>> {
        let gemm = GemmExecutor::default();
        let channels = self.layers.last()?.outputs;
        let mut steps = vec![0.0; blocks * FOUR * lines.len() * channels];
        let together = (NEAR / (blocks + 1)).max(1);
        for (n, some) in lines.chunks(together).enumerate() {
            let places = Places {
                lines: some.len(),
                blocks,
            };
            let mut maps = self.halved(&gemm, some, room, places)?;
            for layer in &self.layers {
                let next = layer.outcome(&gemm, &maps, room, places)?;
                room.maps.push(std::mem::replace(&mut maps, next).all);
            }
            for (step, to) in steps.chunks_exact_mut(lines.len() * channels).enumerate() {
                let (block, column) = (step / FOUR, step % FOUR);
                let from = maps.of_columns(0, column..column + 1);
                let lines = to.chunks_exact_mut(channels).skip(n * together);
                for (line, to) in (0..some.len()).zip(lines) {
                    let from = from.iter().skip(places.of(line).start + block);
                    for (to, x) in to.iter_mut().zip(from.step_by(maps.count)) {
                        *to = *x;
                    }
                }
            }
            room.maps.push(maps.all);
        }
        Some(NdTensor::from_data(
            [blocks * FOUR, lines.len(), channels],
            steps,
        ))
    }

    /// The first two layers.
    fn halved(
        &self,
        gemm: &GemmExecutor,
        lines: &[GrayImage],
        room: &mut Room,
        places: Places,
    ) -> Option<Maps> {
        let [first, second] = &self.halving;
        let high = lines.first()?.height() as usize;
        let (half, quarter) = (high.div_ceil(2), high.div_ceil(4));
        let count = places.count();
        let mut shades = Maps::framed(room, [half, first.kept(BLOCK), first.side], places);
        let mut row_of = vec![0.0; BLOCK * count];
        for row in 0..high {
            shades_of(lines, row, places, &mut row_of);
            for (column, from) in row_of.chunks_exact(count).enumerate() {
                for (to, n) in first.meets(row, half) {
                    shades.put(to, n, (column, BLOCK, first.before), from);
                }
            }
        }
        let shape = [quarter, second.kept(BLOCK / 2), second.side * first.outputs];
        let mut between = Maps::framed(room, shape, places);
        let mut out = vec![0.0; first.outputs * count];
        for row in 0..half {
            for column in 0..BLOCK / 2 {
                first.outcome(gemm, &shades, (row, column), &mut out, places)?;
                for (to, n) in second.meets(row, quarter) {
                    let at = (column, BLOCK / 2, second.before);
                    between.put(to, n * first.outputs, at, &out);
                }
            }
        }
        let mut to = Maps::of(room, [quarter, FOUR, second.outputs], places);
        for row in 0..quarter {
            for column in 0..FOUR {
                let out = to.of_columns_mut(row, column..column + 1);
                second.outcome(gemm, &between, (row, column), out, places)?;
            }
        }
        room.maps.extend([shades.all, between.all]);
        Some(to)
    }
}

/// A row of all lines, -1 for ink to 1 for paper: columns of a block, places.
fn shades_of(lines: &[GrayImage], row: usize, places: Places, to: &mut [f32]) {
    let count = places.count();
    to.fill(1.0);
    for (n, line) in lines.iter().enumerate() {
        let width = line.width() as usize;
        let start = places.of(n).start;
        let from = line.as_raw().chunks_exact(width.max(1)).nth(row);
        for (x, &shade) in from.unwrap_or_default().iter().enumerate() {
            if let Some(to) = to.get_mut(x % BLOCK * count + start + x / BLOCK) {
                *to = f32::from(shade) / 127.5 - 1.0;
            }
        }
    }
    to.chunks_exact_mut(count).for_each(|to| places.part(to));
}

#[cfg(test)]
mod tests {
    use super::super::reader::{CAREFUL, QUICK};
    use super::*;

    /// Lines of gray dots without any order.
    fn lines(widths: &[u32]) -> Vec<GrayImage> {
        let mut state = 1_u32;
        let mut shade = || {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            (state >> 24) as u8
        };
        let line = |&width| GrayImage::from_fn(width, 40, |_, _| image::Luma([shade()]));
        widths.iter().map(line).collect()
    }

    /// What the library makes of the whole net.
    fn by_the_library(bytes: &'static [u8], lines: &[GrayImage], width: u32) -> NdTensor<f32, 3> {
        let shade = |line: &GrayImage, x, y| line.get_pixel_checked(x, y).map_or(255, |p| p.0[0]);
        let input: Vec<f32> = lines
            .iter()
            .flat_map(|line| (0..40).flat_map(move |y| (0..width).map(move |x| shade(line, x, y))))
            .map(|shade| f32::from(shade) / 127.5 - 1.0)
            .collect();
        let input = NdTensor::from_data([lines.len(), 1, 40, width as usize], input);
        let model = Model::load_static_slice(bytes).expect("it is whole");
        let scores = model.run_one(input.view().into(), None).expect("it runs");
        scores.try_into().expect("three dimensions")
    }

    #[test]
    fn the_scores_are_those_of_the_library() {
        let pool = Arc::new(ThreadPool::with_num_threads(1));
        for (bytes, widths) in [(QUICK, [96, 71, 90]), (CAREFUL, [80, 33, 12])] {
            let lines = lines(&widths);
            let net = Net::load(bytes).expect("it is whole");
            let scores = net
                .scores(&lines, widths[0] as usize, &pool)
                .expect("it runs");
            let expected = by_the_library(bytes, &lines, widths[0]);
            assert_eq!(scores.shape(), expected.shape());
            let both = scores.iter().zip(expected.iter());
            let apart = both.map(|(a, b)| (a.exp() - b.exp()).abs());
            assert!(apart.fold(0.0, f32::max) < 1e-4);
        }
    }

    #[test]
    fn no_line_and_no_width_are_no_fault() {
        let pool = Arc::new(ThreadPool::with_num_threads(1));
        let net = Net::load(QUICK).expect("it is whole");
        assert!(net.scores(&[], 16, &pool).is_none());
        assert!(
            net.scores(&lines(&[12]), 0, &pool)
                .is_none_or(|s| s.is_empty())
        );
    }
}
