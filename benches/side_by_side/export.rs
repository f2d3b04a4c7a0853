//! One winter of the sample's first member as numbers for other programs: `cargo run --release -p overwinter-benches --bin export > winter.json`.
//!
//! Every parameter stands at its median. Of each day the balance as it holds on that day, of each hour the weather at the hive, and what this program found:
//! upper air, heat made, and where the state began. Of some hours the rates of change, so that another form of the equations can be held against them.

use overwinter::scenario::built_in;
use overwinter::season::{Balance, Solver, State, Weather, run_with};
use serde::Serialize;

#[derive(Serialize)]
struct Winter {
    /// State at the end of the first hour.
    state: State,
    /// Balance of each day.
    days: Vec<Balance>,
    /// Weather at the hive at the end of each hour.
    weather: Vec<Weather>,
    /// Upper air at the end of each hour, degC.
    upper_c: Vec<f64>,
    /// Heat made up to the end of each hour, J.
    made_j: Vec<f64>,
    /// The equations at some hours.
    samples: Vec<Sample>,
}

#[derive(Serialize)]
struct Sample {
    /// Hours from the first instant of `weather`.
    hour: usize,
    /// State at its end.
    state: State,
    /// Rates of change there.
    rates: State,
}

/// Hours between samples: all times of day and of winter come in turn.
const SAMPLED_EVERY: usize = 97;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let plan = built_in().prepare()?.plan;
    let member = plan.member_at(&|_| 0.5);
    let mut state = None;
    let (mut days, mut weather, mut samples) = (vec![], vec![], vec![]);
    let (mut upper_c, mut made_j) = (vec![], vec![]);
    let mut solver = Solver::default();
    run_with(
        &member,
        &plan.site,
        &plan.winters[0],
        &mut solver,
        &mut |watch| {
            state.get_or_insert_with(|| watch.state.clone());
            if watch.hour % 24 == 1 {
                days.push(watch.balance.clone());
            }
            if watch.hour % SAMPLED_EVERY == 1 {
                samples.push(Sample {
                    hour: weather.len(),
                    state: watch.state.clone(),
                    rates: watch.balance.rates(watch.state, &watch.weather),
                });
            }
            weather.push(watch.weather);
            upper_c.push(watch.state.upper_c);
            made_j.push(watch.ledger.made_j);
        },
    )?;
    let winter = Winter {
        state: state.ok_or("no hour")?,
        days,
        weather,
        upper_c,
        made_j,
        samples,
    };
    println!("{}", serde_json::to_string(&winter)?);
    Ok(())
}
