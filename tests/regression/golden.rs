//! One small ensemble, kept: a change of any figure shows here first. See `tests/README.md` for what to do then.

use overwinter::ensemble::{self, MemberRow, Summary};
use overwinter::scenario;
use sha2::{Digest as _, Sha256};
use std::fmt::Write as _;

const MEMBERS: u32 = 24;
const SEED: u64 = 20_240_601;

/// Six significant digits: beyond them the last bits of a compiler or a machine might speak.
fn rounded(value: f64) -> String {
    format!("{value:.5e}")
}

fn line(row: &MemberRow) -> String {
    let values = [
        row.bees,
        row.stores_kg,
        row.need_kg,
        row.used.heat_kg,
        row.used.brood_kg,
        row.used.activity_kg,
        row.left_kg,
        row.bees_end,
        row.coldest_mantle_c,
        row.ledger.made_j,
        row.wetness.wet_lid_h,
        row.wetness.walls_most_kg,
        row.wetness.dripped_kg,
        row.ledger.water.air_kg,
    ];
    let end = row
        .end_date
        .map_or_else(String::new, |date| date.to_string());
    let mut line = format!("{} {} {:?} {end}", row.member, row.winter, row.end);
    for value in values.iter().chain(&row.ledger.paths_j) {
        // Writing to a string cannot fail.
        let _ = write!(line, " {}", rounded(*value));
    }
    line
}

#[test]
fn the_small_ensemble_gives_the_figures_that_it_gave() {
    let mut plan = scenario::built_in().prepare().expect("the sample").plan;
    (plan.members, plan.seed) = (MEMBERS, SEED);
    let rows = ensemble::run(&plan, &()).expect("an ensemble");
    let summary = Summary::new(&plan, &rows).expect("rows");
    let (rows, _) = rows.in_memory().expect("so few");

    let mut text = String::new();
    let mut say = |name: &str, value: f64| {
        let _ = writeln!(text, "{name:24} {}", rounded(value));
    };
    for need in &summary.needs {
        say(&format!("need_kg {}", need.share), need.kg);
    }
    say("mean_need_kg", summary.mean_need_kg);
    say("starved", summary.starved);
    say("used heat_kg", summary.used.heat_kg);
    say("used brood_kg", summary.used.brood_kg);
    say("used activity_kg", summary.used.activity_kg);
    say("left_kg", summary.left_kg.unwrap_or(f64::NAN));
    for heat in &summary.heat {
        say(&format!("share {}", heat.path.words()), heat.share);
    }
    for end in &summary.ends {
        say(end.end.words(), end.count as f64);
    }
    for winter in &summary.winters {
        say(&format!("need_kg {}", winter.label), winter.need_kg);
    }

    let mut hash = Sha256::new();
    for row in rows {
        hash.update(line(row));
        hash.update("\n");
    }
    let digits = hash
        .finalize()
        .iter()
        .fold(String::new(), |mut digits, byte| {
            let _ = write!(digits, "{byte:02x}");
            digits
        });
    let _ = writeln!(text, "rows {digits}");
    let _ = writeln!(text, "first {}", line(&rows[0]));
    insta::assert_snapshot!(text);
}
