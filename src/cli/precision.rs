//! `--precision`: how narrow the answer's interval is to be.

use super::common::quantity_within;
use super::error::CliError;
use crate::ensemble::Precision;
use crate::scenario::MOST_MEMBERS;
use crate::units::Dimension;
use clap::Args;

/// Most members that a precision is sought with when the user does not say, about a minute of a run.
const MOST: u32 = 20_000;

/// Run until the answer is precise.
#[derive(Debug, Args)]
pub(super) struct Precise {
    /// Run more members, twice as many each time, until half the 95 % interval is as narrow: "risk 1%" (a share of all members), or "need 0.2 kg", of
    /// the honey needed in 50, 80 and 95 % of winters.
    #[arg(long, value_name = "WHAT")]
    precision: Option<String>,
    /// Most members to run for it.
    #[arg(long, value_name = "N", requires = "precision", allow_negative_numbers = true, default_value_t = MOST, value_parser = clap::value_parser!(u32).range(1..=i64::from(MOST_MEMBERS)))]
    most: u32,
}

impl Precise {
    /// The precision asked for and the most members for it.
    pub fn asked(&self) -> Result<Option<(Precision, u32)>, CliError> {
        let asked = self.precision.as_deref().map(parse).transpose()?;
        Ok(asked.map(|asked| (asked, self.most)))
    }
}

fn parse(text: &str) -> Result<Precision, CliError> {
    const OPTION: &str = "--precision";
    let (what, half) = text.trim().split_once(' ').unwrap_or((text, ""));
    match what {
        "risk" => {
            let limits = (1e-4, 0.5);
            let allowed = "from 0.01 % to 50 %";
            quantity_within(OPTION, half, Dimension::Fraction, limits, allowed).map(Precision::Risk)
        }
        "need" => {
            let limits_kg = (0.001, 10.0);
            let allowed = "from 0.001 kg to 10 kg";
            quantity_within(OPTION, half, Dimension::Mass, limits_kg, allowed)
                .map(Precision::NeedKg)
        }
        _ => Err(CliError::Option {
            option: OPTION,
            problem: format!("{text:?} is no precision; write \"risk 1%\" or \"need 0.2 kg\""),
        }),
    }
}
