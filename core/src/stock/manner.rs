//! How the work is done. None of it may change a byte of what is left; a test forces every choice.

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
    /// What is told of what each op met.
    pub(super) records: Records,
}

impl Manner {
    /// The best that this processor has.
    pub(super) fn best() -> Self {
        Self { vectors: Vectors::Widest, cull: true, band_size: 128, at_work: 256, records: Records::Whole }
    }
}

/// What is told of what ops meet. It changes no byte of what is left.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Records {
    /// All of it.
    #[default]
    Whole,
    /// Volumes, longest pieces and contacts, not how far to the sides of their paths.
    WithoutSides,
    /// Nothing: all records are empty, those of contacts too, so that nothing may be proved.
    Empty,
}

/// Vector instructions that a stock is cut with. They decide how long that takes, and no byte of what comes out.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Vectors {
    /// The widest that the processor has.
    #[default]
    Widest,
    /// 256 bits wide (x86-64: AVX2 and what came with it); plain ones where there are none.
    Bits256,
    /// Those that every processor of its family has: what is used where nothing else is known (x86-64: SSE2).
    Plain,
}

impl Vectors {
    /// What this processor then uses, in the words of its makers; `plain` for what all of its family have.
    pub fn used(self) -> &'static str {
        match self.arch() {
            #[cfg(target_arch = "x86_64")]
            Arch::V4(_) => "AVX-512",
            #[cfg(target_arch = "x86_64")]
            Arch::V3(_) => "AVX2",
            _ => "plain",
        }
    }

    /// Runs work compiled for these vectors.
    pub(crate) fn run<W: NullaryFnOnce>(self, work: W) -> W::Output {
        self.arch().dispatch(work)
    }

    fn arch(self) -> Arch {
        match self {
            Vectors::Widest => Arch::new(),
            Vectors::Bits256 => middle(),
            Vectors::Plain => Arch::Scalar,
        }
    }
}

#[cfg(target_arch = "x86_64")]
fn middle() -> Arch {
    pulp::x86::V3::try_new().map_or(Arch::Scalar, Arch::V3)
}

#[cfg(not(target_arch = "x86_64"))]
const fn middle() -> Arch {
    Arch::Scalar
}
