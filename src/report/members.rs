//! `members.csv`: a row a member, SI units, with the parameters it drew.

use super::{OutputError, Provenance};
use crate::ensemble::{Draws, MemberRow, Plan};
use crate::parameter::{Spread, TABLE};
use crate::season::Path;

/// The table of all members. Its first line is a comment that begins with `#`.
///
/// # Errors
/// [`OutputError::Format`].
pub fn csv(plan: &Plan, rows: &[MemberRow], made_by: &Provenance) -> Result<Vec<u8>, OutputError> {
    let drawn = || TABLE.iter().filter(|row| row.spread != Spread::Fixed);
    let draws = Draws::new(plan.seed);
    let mut head = vec![
        "member",
        "winter",
        "bees",
        "stores_kg",
        "end",
        "end_date",
        "need_kg",
        "used_heat_kg",
        "used_brood_kg",
        "used_activity_kg",
        "left_kg",
        "bees_end",
        "coldest_mantle_c",
        "heat_mj",
        "stored_mj",
    ]
    .into_iter()
    .map(str::to_owned)
    .collect::<Vec<_>>();
    head.extend(Path::ALL.map(|path| format!("{}_mj", path.key())));
    head.extend(drawn().map(|row| row.name.to_owned()));

    super::daily::commented_csv(made_by, &head, rows, |row| {
        let mut cells = vec![
            row.member.to_string(),
            plan.winters[row.winter].label.clone(),
            format!("{:.0}", row.bees),
            format!("{:.3}", row.stores_kg),
            row.end.words().to_owned(),
            row.end_date
                .map(|date| date.to_string())
                .unwrap_or_default(),
            format!("{:.4}", row.need_kg),
            format!("{:.4}", row.used.heat_kg),
            format!("{:.4}", row.used.brood_kg),
            format!("{:.4}", row.used.activity_kg),
            format!("{:.4}", row.left_kg),
            format!("{:.0}", row.bees_end),
            format!("{:.2}", row.coldest_mantle_c),
            format!("{:.3}", row.ledger.made_j / 1e6),
            format!("{:.3}", row.ledger.stored_j / 1e6),
        ];
        let paths = row.ledger.paths_j.iter();
        cells.extend(paths.map(|lost_j| format!("{:.3}", lost_j / 1e6)));
        let parameters = plan.member(&draws, row.member).parameters;
        cells.extend(drawn().map(|row| {
            parameters
                .get(row.name)
                .map(|value| format!("{value:.6}"))
                .unwrap_or_default()
        }));
        cells
    })
}
