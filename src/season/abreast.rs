//! Many colonies run side by side, as many at once as the processor's vectors have lanes.

use super::balance::Site;
use super::crew::Crew;
use super::forcing::Forcing;
use super::run::{Member, Outcome, SeasonError, run};
use fearless_simd::{Level, f64x4, f64x8};

/// A member and the winter that it goes through at a site.
#[derive(Clone, Copy, Debug)]
pub struct Wintering<'a> {
    /// The member.
    pub member: &'a Member,
    /// Where its hive stands.
    pub site: &'a Site,
    /// The winter.
    pub forcing: &'a Forcing,
}

/// How many colonies are stepped at once.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Width {
    /// As many as is fastest on this processor.
    #[default]
    Fastest,
    /// One after the other.
    One,
    /// Four, in as many vectors as the processor needs for them.
    Four,
    /// Eight, the same.
    Eight,
}

/// What became of a colony; none where it was not run to its end.
pub type Ran = Option<Result<Outcome, SeasonError>>;

/// Runs colonies through their winters. Outcomes in their order, each with the bits that [`run`] gives, whatever the width.
///
/// `finished` is told of each that has finished and says whether to go on; once it does not, the others have no outcome.
pub fn run_abreast(
    colonies: &[Wintering<'_>],
    width: Width,
    finished: &mut dyn FnMut() -> bool,
) -> Vec<Ran> {
    let level = Level::new();
    match width.on(level, colonies.len()) {
        Width::Four => fearless_simd::dispatch!(level, simd => {
            Crew::<f64x4<_>>::new(simd, colonies, finished).run()
        }),
        Width::Eight => fearless_simd::dispatch!(level, simd => {
            Crew::<f64x8<_>>::new(simd, colonies, finished).run()
        }),
        Width::One | Width::Fastest => one_by_one(colonies, finished),
    }
}

impl Width {
    /// What is taken for so many colonies on a processor of a level.
    fn on(self, level: Level, colonies: usize) -> Self {
        match self {
            Self::Fastest if colonies < 2 => Self::One,
            Self::Fastest => Self::fastest(level),
            asked => asked,
        }
    }

    #[cfg(any(target_arch = "x86", target_arch = "x86_64"))]
    fn fastest(level: Level) -> Self {
        if level.as_avx512().is_some() {
            Self::Eight
        } else {
            Self::Four
        }
    }

    #[cfg(not(any(target_arch = "x86", target_arch = "x86_64")))]
    fn fastest(_level: Level) -> Self {
        Self::Four
    }
}

fn one_by_one(colonies: &[Wintering<'_>], finished: &mut dyn FnMut() -> bool) -> Vec<Ran> {
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
