//! Formulas of numbers that stand side by side, for as many of them at once as a register holds.

use rten_simd::ops::{BitOps, NumOps};
use rten_simd::{Isa, Simd, SimdOp};

/// What comes of the numbers at one place.
pub(super) trait Formula<const FROM: usize, const TO: usize> {
    fn of<N: NumOps<f32>>(n: N, from: [N::Simd; FROM]) -> [N::Simd; TO];
}

/// Works a formula out for each place of slices that are equally long.
pub(super) fn each<F: Formula<FROM, TO>, const FROM: usize, const TO: usize>(
    _: F,
    from: [&[f32]; FROM],
    to: [&mut [f32]; TO],
) {
    Each::<F, FROM, TO> {
        from,
        to,
        formula: std::marker::PhantomData,
    }
    .dispatch();
}

struct Each<'a, F, const FROM: usize, const TO: usize> {
    from: [&'a [f32]; FROM],
    to: [&'a mut [f32]; TO],
    formula: std::marker::PhantomData<F>,
}

impl<F: Formula<FROM, TO>, const FROM: usize, const TO: usize> SimdOp for Each<'_, F, FROM, TO> {
    type Output = ();

    #[inline(always)]
    fn eval<I: Isa>(self, isa: I) {
        let ops = isa.f32();
        let Self { from, mut to, .. } = self;
        let ends = from.iter().map(|f| f.len());
        let count = ends.chain(to.iter().map(|t| t.len())).min().unwrap_or(0);
        let lanes = ops.len();
        // loops, since what is not part of this function itself is not made for these registers
        let mut numbers = [ops.zero(); FROM];
        let mut at = 0;
        while at + lanes <= count {
            for (number, from) in numbers.iter_mut().zip(&from) {
                *number = ops.load(&from[at..at + lanes]);
            }
            let out = F::of(ops, numbers);
            for (to, out) in to.iter_mut().zip(out) {
                ops.store(out, &mut to[at..at + lanes]);
            }
            at += lanes;
        }
        if at < count {
            for (number, from) in numbers.iter_mut().zip(&from) {
                *number = ops.load_pad(&from[at..count]).0;
            }
            let out = F::of(ops, numbers);
            for (to, out) in to.iter_mut().zip(out) {
                let rest = &mut to[at..count];
                rest.copy_from_slice(&out.to_array().as_ref()[..rest.len()]);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    struct Sums;

    impl Formula<2, 1> for Sums {
        #[inline(always)]
        fn of<N: NumOps<f32>>(n: N, [a, b]: [N::Simd; 2]) -> [N::Simd; 1] {
            [n.add(a, b)]
        }
    }

    #[test]
    fn each_place_of_any_count_is_worked_out() {
        for count in [0, 1, 15, 16, 33] {
            let a: Vec<f32> = (0..count).map(|n| n as f32).collect();
            let mut to = vec![0.0; a.len()];
            each(Sums, [&a, &a], [&mut to]);
            assert!(to.iter().zip(&a).all(|(to, a)| *to == 2.0 * a));
        }
    }
}
