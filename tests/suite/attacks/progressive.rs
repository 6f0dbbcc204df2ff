//! Writes progressive JPEG pictures in shades of gray (ITU-T T.81, annex G), which no library at hand
//! does: four scans, the first value of each block and the others, each to half and then to the last bit.

use image::GrayImage;

/// Of every value of a block.
const STEP: f32 = 12.0;
/// Bits of every code.
const CODE: u32 = 9;

/// The order of the values in a block (T.81, figure A.6).
fn zigzag() -> [usize; 64] {
    let mut places: Vec<usize> = (0..64).collect();
    places.sort_by_key(|place| {
        let (row, column) = (place / 8, place % 8);
        let along = if (row + column) % 2 == 0 { column } else { row };
        (row + column, along)
    });
    places.try_into().unwrap()
}

/// The blocks of a page, row by row, transformed and quantized (T.81, A.3.3 and A.3.4).
fn blocks(page: &GrayImage) -> Vec<[i32; 64]> {
    let (w, h) = page.dimensions();
    let order = zigzag();
    let wave: Vec<f32> = (0..64_u8)
        .map(|n| {
            let (frequency, at) = (f32::from(n / 8), f32::from(n % 8));
            let scale = if n < 8 { 0.125_f32.sqrt() } else { 0.5 };
            scale * ((2.0 * at + 1.0) * frequency * std::f32::consts::PI / 16.0).cos()
        })
        .collect();
    let mut all = Vec::new();
    for (top, left) in (0..h.div_ceil(8)).flat_map(|y| (0..w.div_ceil(8)).map(move |x| (y, x))) {
        let shade = |y: usize, x: usize| {
            let at =
                |n: u32, add: usize, end: u32| (n * 8 + u32::try_from(add).unwrap()).min(end - 1);
            f32::from(page.get_pixel(at(left, x, w), at(top, y, h)).0[0]) - 128.0
        };
        let shades: Vec<f32> = (0..64).map(|n| shade(n / 8, n % 8)).collect();
        let mut block = [0; 64];
        if shades.iter().all(|s| *s == shades[0]) {
            block[0] = rounded(shades[0] * 8.0 / STEP);
            all.push(block);
            continue;
        }
        let sum = |f: &dyn Fn(usize) -> f32| (0..8).map(f).sum::<f32>();
        let rows: Vec<f32> = (0..64)
            .map(|n| sum(&|x| wave[n % 8 * 8 + x] * shades[n / 8 * 8 + x]))
            .collect();
        for (value, &place) in block.iter_mut().zip(&order) {
            let (v, u) = (place / 8, place % 8);
            *value = rounded(sum(&|y| wave[v * 8 + y] * rows[y * 8 + u]) / STEP);
        }
        all.push(block);
    }
    all
}

#[expect(clippy::cast_possible_truncation, reason = "values are below 2,048")]
fn rounded(value: f32) -> i32 {
    value.round() as i32
}

/// The data of a scan.
#[derive(Default)]
struct Bits {
    bytes: Vec<u8>,
    held: u64,
    count: u32,
}

impl Bits {
    fn put(&mut self, value: u32, many: u32) {
        self.held = self.held << many | u64::from(value);
        self.count += many;
        while self.count >= 8 {
            self.count -= 8;
            let byte = u8::try_from(self.held >> self.count & 0xff).unwrap();
            self.bytes.push(byte);
            if byte == 0xff {
                self.bytes.push(0);
            }
        }
    }

    /// The code of a meaning.
    fn code(&mut self, meanings: &[u8], meaning: u32) {
        let at = meanings.iter().position(|&m| u32::from(m) == meaning);
        self.put(u32::try_from(at.unwrap()).unwrap(), CODE);
    }

    /// A value of so many bits (T.81, F.1.2.1.1).
    fn value(&mut self, value: i32) {
        let many = size(value);
        let bits = if value < 0 {
            value + (1 << many) - 1
        } else {
            value
        };
        self.put(u32::try_from(bits).unwrap(), many);
    }

    fn end(mut self) -> Vec<u8> {
        let rest = (8 - self.count % 8) % 8;
        self.put((1 << rest) - 1, rest);
        self.bytes
    }
}

fn size(value: i32) -> u32 {
    32 - value.unsigned_abs().leading_zeros()
}

/// The other values of all blocks but for their last bit, with runs of blocks that hold none.
fn halves(blocks: &[[i32; 64]], meanings: &[u8]) -> Vec<u8> {
    let mut bits = Bits::default();
    let mut run = 0_u32;
    let flush = |bits: &mut Bits, run: &mut u32| {
        if *run > 0 {
            let many = run.ilog2();
            bits.code(meanings, many << 4);
            bits.put(*run - (1 << many), many);
            *run = 0;
        }
    };
    for block in blocks {
        let mut zeros = 0;
        for value in block[1..].iter().map(|v| v / 2) {
            if value == 0 {
                zeros += 1;
                continue;
            }
            flush(&mut bits, &mut run);
            while zeros > 15 {
                bits.code(meanings, 0xf0);
                zeros -= 16;
            }
            bits.code(meanings, zeros << 4 | size(value));
            bits.value(value);
            zeros = 0;
        }
        if zeros > 0 {
            run += 1;
            if run == 0x7fff {
                flush(&mut bits, &mut run);
            }
        }
    }
    flush(&mut bits, &mut run);
    bits.end()
}

/// The last bit of the other values.
fn last_bits(blocks: &[[i32; 64]], meanings: &[u8]) -> Vec<u8> {
    let mut bits = Bits::default();
    for block in blocks {
        let last = block.iter().skip(1).rposition(|v| v.abs() == 1);
        let (mut zeros, mut known) = (0_u32, Vec::new());
        for (at, value) in block[1..].iter().enumerate() {
            if *value == 0 {
                zeros += 1;
                continue;
            }
            while zeros > 15 && last.is_some_and(|last| at <= last) {
                bits.code(meanings, 0xf0);
                known.drain(..).for_each(|bit| bits.put(bit, 1));
                zeros -= 16;
            }
            if value.abs() > 1 {
                known.push(value.unsigned_abs() & 1);
                continue;
            }
            bits.code(meanings, zeros << 4 | 1);
            bits.put(u32::from(*value > 0), 1);
            known.drain(..).for_each(|bit| bits.put(bit, 1));
            zeros = 0;
        }
        if zeros > 0 || !known.is_empty() {
            bits.code(meanings, 0);
            known.drain(..).for_each(|bit| bits.put(bit, 1));
        }
    }
    bits.end()
}

/// The page as a progressive JPEG.
pub(super) fn encoded(page: &GrayImage) -> Vec<u8> {
    let blocks = blocks(page);
    let first: Vec<u8> = (0..12).collect();
    let others: Vec<u8> = (0..=255)
        .filter(|m: &u8| m & 15 > 0 && m & 15 < 11 || m & 15 == 0)
        .collect();
    let mut out = b"\xff\xd8".to_vec();
    let mut segment = |marker: u8, body: &[u8], data: &[u8]| {
        out.extend([0xff, marker]);
        out.extend(u16::try_from(body.len() + 2).unwrap().to_be_bytes());
        out.extend(body);
        out.extend(data);
    };
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a small number"
    )]
    let step = STEP as u8;
    segment(0xdb, &[[0].as_slice(), &[step; 64]].concat(), b"");
    let (w, h) = page.dimensions();
    let [h0, h1] = u16::try_from(h).unwrap().to_be_bytes();
    let [w0, w1] = u16::try_from(w).unwrap().to_be_bytes();
    segment(0xc2, &[8, h0, h1, w0, w1, 1, 1, 0x11, 0], b"");
    for (class, meanings) in [(0, &first), (0x10, &others)] {
        let mut counts = [0; 16];
        counts[8] = u8::try_from(meanings.len()).unwrap();
        segment(0xc4, &[[class].as_slice(), &counts, meanings].concat(), b"");
    }
    let (mut dc, mut dc_last) = (Bits::default(), Bits::default());
    let mut before = 0;
    for block in &blocks {
        let half = block[0] >> 1;
        dc.code(&first, size(half - before));
        dc.value(half - before);
        before = half;
        dc_last.put(u32::from(block[0] & 1 == 1), 1);
    }
    segment(0xda, &[1, 1, 0, 0, 0, 0x01], &dc.end());
    segment(0xda, &[1, 1, 0, 1, 63, 0x01], &halves(&blocks, &others));
    segment(0xda, &[1, 1, 0, 0, 0, 0x10], &dc_last.end());
    segment(0xda, &[1, 1, 0, 1, 63, 0x10], &last_bits(&blocks, &others));
    out.extend([0xff, 0xd9]);
    out
}

/// Where the scans begin.
pub(super) fn scans(jpeg: &[u8]) -> Vec<usize> {
    let begins = |pair: &[u8]| pair == [0xff, 0xda];
    (0..jpeg.len() - 1)
        .filter(|&at| begins(&jpeg[at..at + 2]))
        .collect()
}
