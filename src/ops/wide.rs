//! Loops over pixels in the widest vectors of the processor they run on.
//!
//! The program is compiled for every processor of its kind. What is given to [`wide`] is compiled twice, the second time
//! for wider vectors (AVX2), and the processor says which of the two is run. The numbers are the same to the last bit:
//! additions stay in their order, and none is fused with a multiplication.

/// A loop worth it: over thousands of pixels, its arithmetic and not its memory taking the time.
pub trait Loop {
    /// What comes out.
    type Output;

    /// Runs it. To be marked `#[inline(always)]`, as all functions called in it: what stays a call stays narrow.
    fn run(self) -> Self::Output;
}

/// Runs a loop in the widest vectors there are.
#[inline]
pub fn wide<L: Loop>(work: L) -> L::Output {
    pulp::Arch::new().dispatch(Dispatched(work))
}

struct Dispatched<L>(L);

impl<L: Loop> pulp::NullaryFnOnce for Dispatched<L> {
    type Output = L::Output;

    #[inline(always)]
    fn call(self) -> L::Output {
        self.0.run()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    struct Sums<'a>(&'a [f32], &'a [f32]);

    impl Loop for Sums<'_> {
        type Output = (Vec<u32>, u32);

        #[inline(always)]
        fn run(self) -> Self::Output {
            let pairs = || self.0.iter().zip(self.1);
            let each = pairs().map(|(a, b)| (a * b + 0.1 * a).to_bits());
            (
                each.collect(),
                pairs().map(|(a, b)| a * b).sum::<f32>().to_bits(),
            )
        }
    }

    #[test]
    fn wide_and_narrow_agree_to_the_last_bit() {
        let a: Vec<f32> = (0..1003).map(|i| (i as f32 * 0.37).sin()).collect();
        let b: Vec<f32> = a.iter().map(|v| v.cos() / 3.0).collect();
        assert_eq!(Sums(&a, &b).run(), wide(Sums(&a, &b)));
    }
}
