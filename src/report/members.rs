//! `members.csv`: a row a member, SI units, with the parameters it drew.

use super::{Provenance, WriteError};
use crate::ensemble::{Draws, MemberRow, MemberRows, Plan};
use crate::parameter::{Parameter, Spread, TABLE};
use crate::season::LossPath;
use std::io::{self, Write};

/// Columns of water in the hive.
const WATER: [&str; 17] = [
    "wet_lid_h",
    "frost_lid_h",
    "lid_most_kg",
    "wet_walls_h",
    "frost_walls_h",
    "walls_most_kg",
    "drip_h",
    "dripped_kg",
    "upper_humidity",
    "lower_humidity",
    "filling_most_kg_kg",
    "filling_damp_day",
    "water_made_kg",
    "water_air_kg",
    "water_layers_kg",
    "water_drained_kg",
    "water_stored_kg",
];

/// Writes the table of all members, a row after the other. Its first line is a comment that begins with `#`.
///
/// # Errors
/// [`WriteError`].
pub fn write(
    plan: &Plan,
    rows: &MemberRows,
    made_by: &Provenance,
    file: &mut dyn Write,
) -> Result<(), WriteError> {
    writeln!(file, "# {}", made_by.line())?;
    let mut table = csv::Writer::from_writer(file);
    table.write_record(head()).map_err(io::Error::from)?;
    let draws = plan.draws();
    rows.blocks(|rows| {
        for row in rows {
            table
                .write_record(cells(plan, &draws, row))
                .map_err(io::Error::from)?;
        }
        Ok::<(), WriteError>(())
    })?;
    table.flush()?;
    Ok(())
}

fn drawn() -> impl Iterator<Item = &'static Parameter> {
    TABLE.iter().filter(|row| row.spread != Spread::Fixed)
}

fn head() -> Vec<String> {
    let mut head = vec![
        "member",
        "shared_set",
        "colony",
        "winter",
        "bees",
        "stores_kg",
        "end",
        "end_date",
        "need_kg",
        "need_before_brood_kg",
        "used_heat_kg",
        "used_brood_kg",
        "used_activity_kg",
        "left_kg",
        "fed_kg",
        "feed_lost_kg",
        "feed_left_kg",
        "bees_end",
        "reared_bees_end",
        "emerged_bees",
        "dead_bees",
        "brood_end",
        "brood_lost",
        "confined_days",
        "gut_share",
        "gut_past_limit",
        "coldest_mantle_c",
        "start_gross_kg",
        "heat_mj",
        "stored_mj",
    ]
    .into_iter()
    .map(str::to_owned)
    .collect::<Vec<_>>();
    head.extend(LossPath::ALL.map(|path| format!("{}_mj", path.key())));
    head.extend(WATER.map(str::to_owned));
    head.extend(drawn().map(|row| row.name.to_owned()));
    head
}

fn cells(plan: &Plan, draws: &Draws, row: &MemberRow) -> Vec<String> {
    let cell = plan.crossing().cell(row.member.into());
    let mut cells = vec![
        row.member.to_string(),
        cell.set.to_string(),
        cell.colony.to_string(),
        plan.winters[row.winter].label.clone(),
        format!("{:.0}", row.bees),
        format!("{:.3}", row.stores_kg),
        row.end.words().to_owned(),
        row.end_date
            .map(|date| date.to_string())
            .unwrap_or_default(),
        format!("{:.4}", row.need_kg),
        format!("{:.4}", row.need_before_brood_kg),
        format!("{:.4}", row.used.heat_kg),
        format!("{:.4}", row.used.brood_kg),
        format!("{:.4}", row.used.activity_kg),
        format!("{:.4}", row.left_kg),
        format!("{:.4}", row.feed.stored_kg),
        format!("{:.4}", row.feed.lost_kg),
        format!("{:.4}", row.feed.waiting_kg()),
        format!("{:.0}", row.bees_end),
        format!("{:.0}", row.headcount.reared),
        format!("{:.0}", row.headcount.emerged),
        format!("{:.0}", row.headcount.died),
        format!("{:.0}", row.brood.cells),
        format!("{:.0}", row.brood.lost),
        format!("{:.0}", row.confined_days),
        format!("{:.4}", row.gut_share),
        row.gut_past_limit.to_string(),
        format!("{:.2}", row.coldest_mantle_c),
        format!("{:.3}", row.bare_kg + row.stores_kg),
        format!("{:.3}", row.ledger.made_j / 1e6),
        format!("{:.3}", row.ledger.stored_j / 1e6),
    ];
    let paths = row.ledger.paths_j.iter();
    cells.extend(paths.map(|lost_j| format!("{:.3}", lost_j / 1e6)));
    let wetness = &row.wetness;
    let optional = |value: Option<String>| value.unwrap_or_default();
    cells.extend([
        format!("{:.0}", wetness.wet_lid_h),
        format!("{:.0}", wetness.frost_lid_h),
        format!("{:.4}", wetness.lid_most_kg),
        format!("{:.0}", wetness.wet_walls_h),
        format!("{:.0}", wetness.frost_walls_h),
        format!("{:.4}", wetness.walls_most_kg),
        format!("{:.0}", wetness.drip_h),
        format!("{:.4}", wetness.dripped_kg),
        format!("{:.4}", wetness.upper_humidity),
        format!("{:.4}", wetness.lower_humidity),
        optional(wetness.filling_most_kg_kg.map(|most| format!("{most:.4}"))),
        optional(wetness.filling_damp_day.map(|day| day.to_string())),
    ]);
    let water = &row.ledger.water;
    cells.extend(
        [
            water.made_kg,
            water.air_kg,
            water.layers_kg,
            water.drained_kg,
            water.stored_kg,
        ]
        .map(|kg| format!("{kg:.4}")),
    );
    let parameters = plan.member(draws, row.member).parameters;
    cells.extend(drawn().map(|row| {
        parameters
            .get(row.name)
            .map(|value| format!("{value:.6}"))
            .unwrap_or_default()
    }));
    cells
}
