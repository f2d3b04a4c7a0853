//! Many colonies run side by side, as many at once as the processor's vectors have lanes.

use super::lane_scheduler::LaneScheduler;
use super::run::run;
use super::run_input::{RunInput, RunResult};
use fearless_simd::Level;
#[cfg(any(target_arch = "x86", target_arch = "x86_64", target_arch = "aarch64"))]
use fearless_simd::f64x4;
#[cfg(any(target_arch = "x86", target_arch = "x86_64"))]
use fearless_simd::f64x8;

/// How many colonies are stepped at once.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Width {
    /// As many as is fastest on this processor.
    #[default]
    Fastest,
    /// One after the other.
    One,
    /// Four, in vectors of two as every processor of the kind has them.
    Four,
    /// Eight, where the processor has vectors of four or eight; else as [`Width::Four`].
    Eight,
}

/// Runs colonies through their winters. Outcomes in their order, each with the bits that [`run`] gives, whatever the width.
///
/// `finished` is told of each that has finished and says whether to go on; once it does not, the others have no outcome.
pub fn run_batch(
    colonies: &[RunInput<'_>],
    width: Width,
    finished: &mut dyn FnMut() -> bool,
) -> Vec<RunResult> {
    let level = Level::new();
    let lanes = match width {
        Width::One => 1,
        Width::Fastest if colonies.len() < 2 => 1,
        Width::Four => 4,
        Width::Fastest | Width::Eight => 8,
    };
    side_by_side(level, lanes, colonies, finished)
}

/// As many lanes as asked for and the processor has instructions for. Each width is written out for the processors that need it and no others: the code is long,
/// and takes long to compile.
fn side_by_side(
    level: Level,
    lanes: usize,
    colonies: &[RunInput<'_>],
    finished: &mut dyn FnMut() -> bool,
) -> Vec<RunResult> {
    #[cfg(any(target_arch = "x86", target_arch = "x86_64"))]
    {
        // Eight are two vectors of AVX2: they wait for each other less than one does for itself.
        if let Some(avx512) = level.as_avx512().filter(|_| lanes == 8) {
            return LaneScheduler::<f64x8<_>>::new(avx512, colonies, finished).run();
        }
        if let Some(avx2) = level.as_avx2().filter(|_| lanes == 8) {
            return LaneScheduler::<f64x8<_>>::new(avx2, colonies, finished).run();
        }
        if let Some(sse2) = level.as_sse2().filter(|_| lanes > 1) {
            return LaneScheduler::<f64x4<_>>::new(sse2, colonies, finished).run();
        }
    }
    #[cfg(target_arch = "aarch64")]
    if let Some(neon) = level.as_neon().filter(|_| lanes > 1) {
        return LaneScheduler::<f64x4<_>>::new(neon, colonies, finished).run();
    }
    one_by_one(colonies, finished)
}

fn one_by_one(colonies: &[RunInput<'_>], finished: &mut dyn FnMut() -> bool) -> Vec<RunResult> {
    let mut goes_on = true;
    let outcomes = colonies.iter().map(|colony| {
        goes_on.then(|| {
            let outcome = run(colony.member, colony.site, colony.forcing);
            goes_on = finished();
            outcome
        })
    });
    outcomes.collect()
}
