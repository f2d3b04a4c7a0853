//! What is run, and what it gives.

use super::forcing::Forcing;
use super::hive_site::Site;
use super::outcome::Outcome;
use super::season_error::SeasonError;
use crate::colony::Colony;
use crate::hive::Hive;
use crate::parameter::Parameters;

/// One hive with one colony under one set of parameters.
#[derive(Clone, Debug)]
pub struct Member {
    /// The hive.
    pub hive: Hive,
    /// The colony at the start.
    pub colony: Colony,
    /// Every other number.
    pub parameters: Parameters,
}

/// A member and the winter that it goes through at a site.
#[derive(Clone, Copy, Debug)]
pub struct RunInput<'a> {
    /// The member.
    pub member: &'a Member,
    /// Where its hive stands.
    pub site: &'a Site,
    /// The winter.
    pub forcing: &'a Forcing,
}

/// What became of a colony; none where it was not run to its end.
pub type RunResult = Option<Result<Outcome, SeasonError>>;
