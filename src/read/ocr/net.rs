//! The net that reads lines: its convolutions are worked out here, what comes behind them by the library.
//!
//! The library lays out the pixels around each pixel before it multiplies, which takes as long as
//! multiplying where there are few channels. Here every fourth column of a line stands side by side
//! ([`Maps`]), so that what lies beside them is another such set, and nothing is laid out anew.

use std::sync::{Arc, Mutex, PoisonError};

use image::GrayImage;
use rten::{Model, NodeId, RunOptions, ThreadPool};
use rten_gemm::{GemmExecutor, PackedAMatrix};
use rten_tensor::NdTensor;
use rten_tensor::prelude::*;

use super::maps::{FOUR, Free, Maps, Places};
use super::operators;
use super::winograd::{Layer, Work, product};

/// What the recurrent layer is given: steps, lines, channels.
const RECURRENT: &str = "/Transpose_output_0";
/// Columns of a line that one step of the outcome stands for.
pub(super) const STEP: usize = 4;
/// Columns of a line that stand at one place of a map.
const BLOCK: usize = FOUR * STEP;
/// Places worked out together: what is needed of so many is near at hand, in the cache of a core.
const NEAR: usize = 130;

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

/// Memory that is used again.
#[derive(Default)]
struct Room {
    free: Free,
    work: Work,
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
        to.iter_mut().for_each(|x| *x = x.max(0.0));
        places.part(to);
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

impl Net {
    /// Loads it; `None` where it is broken.
    pub(super) fn load(bytes: &'static [u8]) -> Option<Self> {
        // as it stands in the file: each layer has its name, and what is worked out here is not worked
        // out twice
        let mut options = operators::options();
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
        let channels = self.layers.last()?.outputs();
        let mut steps = vec![0.0; blocks * FOUR * lines.len() * channels];
        let together = (NEAR / (blocks + 1)).max(1);
        for (n, some) in lines.chunks(together).enumerate() {
            let places = Places {
                lines: some.len(),
                blocks,
            };
            let mut maps = self.halved(&gemm, some, room, places)?;
            for layer in &self.layers {
                let next = layer.outcome(&gemm, &maps, (&mut room.free, &mut room.work), places)?;
                room.free.give(std::mem::replace(&mut maps, next));
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
            room.free.give(maps);
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
        let mut shades = Maps::framed(
            &mut room.free,
            [half, first.kept(BLOCK), first.side],
            places,
        );
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
        let mut between = Maps::framed(&mut room.free, shape, places);
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
        let mut to = Maps::of(&mut room.free, [quarter, FOUR, second.outputs], places);
        for row in 0..quarter {
            for column in 0..FOUR {
                let out = to.of_columns_mut(row, column..column + 1);
                second.outcome(gemm, &between, (row, column), out, places)?;
            }
        }
        room.free.give(shades);
        room.free.give(between);
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
    places.part(to);
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
        let model = operators::options()
            .load_static_slice(bytes)
            .expect("it is whole");
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
