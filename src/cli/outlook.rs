//! `overwinter outlook`: the rest of a winter from what is left today.

use super::common::{Drawn, Out, ScenarioArgument, Show, quantity_within};
use super::console::Console;
use super::error::CliError;
use super::interrupt;
use super::progress::Progress;
use super::run::{pool, threads};
use super::with::{With, use_in};
use crate::ensemble::{Asked, Outlook, outlook};
use crate::report::outlook_text::{self, OutlookReport};
use crate::report::{Provenance, json};
use crate::scenario::{BEES, MonthDay, Scenario, bees_in_seams, most_honey_kg};
use crate::season::Honey;
use crate::units::{Dimension, System};
use clap::Args;

/// Feeds that are compared when none is asked for, kg.
const FEEDS_KG: [f64; 4] = [0.0, 2.0, 5.0, 10.0];
/// The same for readers of pounds: 0, 5, 10 and 20 lb.
const FEEDS_LB_KG: [f64; 4] = [0.0, 2.267_961_85, 4.535_923_7, 9.071_847_4];
/// Most feeds in one table.
const MOST_COMPARED: usize = 10;

/// In midwinter: the odds of the rest of the winter from what is left today, and what feeding would change.
///
/// Hive and brood are led to that day through every winter of the scenario. Without stores or weight the colony has what the
/// scenario's stores would have left by then, with spread.
#[derive(Debug, Args)]
pub(super) struct OutlookCommand {
    #[command(flatten)]
    scenario: ScenarioArgument,
    /// The day on which you looked: "15 January" or 2026-01-15; the year counts for nothing.
    #[arg(long, value_name = "DATE")]
    on: String,
    /// Honey left on that day, as "9 kg" or "20 lb"; give or take the scenario's stores_spread.
    #[arg(
        long,
        value_name = "MASS",
        conflicts_with = "weight",
        allow_hyphen_values = true
    )]
    stores: Option<String>,
    /// What the whole hive weighed on that day, without snow and stand; the scenario's tare makes honey of it.
    #[arg(long, value_name = "MASS", allow_hyphen_values = true)]
    weight: Option<String>,
    /// Bees on that day; give or take the scenario's spread.
    #[arg(long, value_name = "N", conflicts_with_all = ["seams", "mass"], allow_negative_numbers = true)]
    bees: Option<f64>,
    /// The same as seams that the cluster covers at about 5 °C; it covers fewer when colder.
    #[arg(
        long,
        value_name = "N",
        conflicts_with = "mass",
        allow_negative_numbers = true
    )]
    seams: Option<f64>,
    /// The same as the mass of the cluster.
    #[arg(long, value_name = "MASS", allow_hyphen_values = true)]
    mass: Option<String>,
    /// Feed to compare with none, as honey over the cluster; can be given several times.
    #[arg(long, value_name = "MASS", allow_hyphen_values = true)]
    feed: Vec<String>,
    #[command(flatten)]
    drawn: Drawn,
    #[command(flatten)]
    with: With,
    /// Threads; without it, as many as the machine has cores. The results are the same for any number.
    #[arg(long, value_name = "T", allow_negative_numbers = true, value_parser = threads)]
    threads: Option<usize>,
    #[command(flatten)]
    out: Out,
    #[command(flatten)]
    show: Show,
    /// No progress on the terminal.
    #[arg(long)]
    quiet: bool,
}

impl OutlookCommand {
    pub fn start(&self, console: &mut Console<'_>) -> Result<(), CliError> {
        let folder = self.out.folder(console)?;
        let mut scenario = self.scenario.read()?;
        self.drawn.set(&mut scenario);
        let asked = self.asked(&scenario)?;
        let known = self.with.read()?;
        let mut prepared = scenario.prepare()?;
        use_in(&mut prepared, known.as_ref());
        let plan = &prepared.plan;
        let progress = Progress::new(plan.members, self.quiet, interrupt::flag()?);
        let rests = pool(self.threads)?.install(|| outlook(plan, &asked, &progress))?;
        drop(progress);
        let Some(outlook) = Outlook::new(plan, &asked, &rests) else {
            return Err(CliError::Option {
                option: "--on",
                problem: format!(
                    "by {} every member has died with the scenario's stores; say what you found with --stores or --weight",
                    self.on
                ),
            });
        };
        if let Honey::Gross(gross_kg) = asked.honey
            && outlook.stores_kg[1] <= 0.0
        {
            return Err(CliError::Option {
                option: "--weight",
                problem: format!(
                    "{} is less than hive, frames and bees weigh without any honey, {:.1} kg above it; check tare and layers in the scenario",
                    self.weight.as_deref().unwrap_or_default(),
                    outlook.gross_kg[1] - gross_kg,
                ),
            });
        }
        let most_kg = most_honey_kg(&scenario.hive);
        if matches!(asked.honey, Honey::Gross(_)) && outlook.stores_kg[1] > most_kg {
            return Err(CliError::Option {
                option: "--weight",
                problem: format!(
                    "{} would be {:.0} kg of honey, and this hive's boxes hold {most_kg:.0} kg at the very most; check tare and layers in the scenario, and that no \
                     snow, stone or stand was weighed",
                    self.weight.as_deref().unwrap_or_default(),
                    outlook.stores_kg[1],
                ),
            });
        }
        let report = OutlookReport {
            scenario: &scenario,
            prepared: &prepared,
            asked: &asked,
            outlook: &outlook,
            provenance: &Provenance::new(&scenario, &prepared),
        };
        let json = json::pretty(&report.json())?;
        if let Some(mut folder) = folder {
            folder.add("outlook.json", json.as_bytes())?;
            folder.add("outlook.csv", &outlook_text::csv(&report, &rests)?)?;
            folder.finish()?;
        }
        if self.show.json {
            console.print(&json)
        } else {
            console.print(&outlook_text::text(&report, self.show.units))
        }
    }

    fn asked(&self, scenario: &Scenario) -> Result<Asked, CliError> {
        let kg = |option, text: &str, low_kg, high_kg, allowed: &str| {
            quantity_within(option, text, Dimension::Mass, (low_kg, high_kg), allowed)
        };
        let honey = match (&self.stores, &self.weight) {
            (Some(text), _) => {
                let stores_kg = kg("--stores", text, 0.1, 200.0, "from 0.1 kg to 200 kg")?;
                let most_kg = most_honey_kg(&scenario.hive);
                if stores_kg > most_kg {
                    return Err(CliError::Option {
                        option: "--stores",
                        problem: format!(
                            "{text} of honey do not fit into this hive: its boxes hold {most_kg:.0} kg at the very most"
                        ),
                    });
                }
                Honey::Stores(stores_kg)
            }
            (None, Some(text)) => {
                Honey::Gross(kg("--weight", text, 5.0, 500.0, "from 5 kg to 500 kg")?)
            }
            (None, None) => Honey::Expected,
        };
        Ok(Asked {
            on: self.day(scenario)?,
            bees: self.bees(scenario)?,
            honey,
            feeds_kg: self.feeds_kg()?,
        })
    }

    fn day(&self, scenario: &Scenario) -> Result<(i8, i8), CliError> {
        let season = scenario.season;
        let refuse = |problem: String| CliError::Option {
            option: "--on",
            problem,
        };
        let day = MonthDay::parse(&self.on).ok_or_else(|| {
            refuse(format!(
                "'{}' is no day of every year; write it as \"15 January\" or 2026-01-15",
                self.on
            ))
        })?;
        if !season.holds(day) {
            return Err(refuse(format!(
                "{day} is outside the scenario's winter, {} to the day before {}",
                season.start, season.first_forage
            )));
        }
        Ok((day.month, day.day))
    }

    fn bees(&self, scenario: &Scenario) -> Result<Option<f64>, CliError> {
        let parameters = scenario.parameters();
        let (option, bees) = if let Some(bees) = self.bees {
            ("--bees", bees)
        } else if let Some(seams) = self.seams {
            // One seam more than frames: there are seams beside the outer combs.
            let most = f64::from(scenario.hive.frames + 1);
            if !(1.0..=most).contains(&seams) {
                return Err(CliError::Option {
                    option: "--seams",
                    problem: format!("{seams} is not from 1 to {most}, the seams of this hive"),
                });
            }
            ("--seams", bees_in_seams(seams, &scenario.hive, &parameters))
        } else if let Some(text) = &self.mass {
            let mass_kg = quantity_within(
                "--mass",
                text,
                Dimension::Mass,
                (0.05, 15.0),
                "from 0.05 kg to 15 kg",
            )?;
            ("--mass", mass_kg / parameters.bee_mass_kg)
        } else {
            return Ok(None);
        };
        if (BEES.0..=BEES.1).contains(&bees) {
            return Ok(Some(bees));
        }
        Err(CliError::Option {
            option,
            problem: format!("{bees:.0} bees are not from {} to {}", BEES.0, BEES.1),
        })
    }

    /// None and the feeds asked for, or the usual ones; ascending.
    fn feeds_kg(&self) -> Result<Vec<f64>, CliError> {
        if self.feed.is_empty() {
            return Ok(match self.show.units {
                System::Metric => FEEDS_KG.to_vec(),
                System::Us => FEEDS_LB_KG.to_vec(),
            });
        }
        if self.feed.len() > MOST_COMPARED {
            return Err(CliError::Option {
                option: "--feed",
                problem: format!("is given more than {MOST_COMPARED} times"),
            });
        }
        let mut feeds_kg = vec![0.0];
        for text in &self.feed {
            let limits_kg = (0.1, 50.0);
            let allowed = "from 0.1 kg to 50 kg";
            feeds_kg.push(quantity_within(
                "--feed",
                text,
                Dimension::Mass,
                limits_kg,
                allowed,
            )?);
        }
        feeds_kg.sort_by(f64::total_cmp);
        feeds_kg.dedup();
        Ok(feeds_kg)
    }
}
