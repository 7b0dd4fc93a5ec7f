//! How the work is done. None of it may change a byte of the result; a test forces every choice.

use pulp::{Arch, NullaryFnOnce};

/// How the stock is cut.
#[derive(Clone, Copy, Debug)]
pub(super) struct Manner {
    /// Which vector instructions are used.
    pub(super) vectors: Vectors,
    /// Skip what the summaries show to be clear.
    pub(super) cull: bool,
    /// Rows or columns of a band, a multiple of a block's 16: few enough that small blocks keep several threads busy, enough that
    /// what is worked out once for an op serves many rays.
    pub(super) band_size: u32,
    /// Ops of a band that may wait for each other to be brought to the rays together.
    pub(super) at_work: usize,
}

impl Manner {
    /// The best that this processor has.
    pub(super) fn best() -> Self {
        Self { vectors: Vectors::Best, cull: true, band_size: 64, at_work: 128 }
    }
}

/// Vector instructions.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Vectors {
    /// The widest that the processor has.
    Best,
    /// Those that every processor of its family has.
    #[cfg(test)]
    Plain,
    /// 256 bits (x86-64: AVX2); plain ones where there are none.
    #[cfg(test)]
    Middle,
}

impl Vectors {
    /// Runs work compiled for these vectors.
    pub(super) fn run<W: NullaryFnOnce>(self, work: W) -> W::Output {
        match self {
            Vectors::Best => Arch::new().dispatch(work),
            #[cfg(test)]
            Vectors::Plain => pulp::Simd::vectorize(pulp::Scalar, work),
            #[cfg(test)]
            Vectors::Middle => middle(work),
        }
    }
}

#[cfg(all(test, target_arch = "x86_64"))]
fn middle<W: NullaryFnOnce>(work: W) -> W::Output {
    match pulp::x86::V3::try_new() {
        Some(v3) => pulp::Simd::vectorize(v3, work),
        None => pulp::Simd::vectorize(pulp::Scalar, work),
    }
}

#[cfg(all(test, not(target_arch = "x86_64")))]
fn middle<W: NullaryFnOnce>(work: W) -> W::Output {
    pulp::Simd::vectorize(pulp::Scalar, work)
}
