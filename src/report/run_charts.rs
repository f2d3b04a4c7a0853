//! What the charts of a run show, from its rows and its summary.

use super::RunReport;
use crate::chart::{
    ColonyEnd, Dates, HeatByMonth, HoneyNeeded, MonthOfHeat, NEEDED_DOTS, Risk, RiskAt, SMALL_RISK,
    StoresLeft, WET_ROWS, WetLid, WetWinter,
};
use crate::ensemble::statistics::quantile;
use crate::ensemble::{Daily, MemberRows, RiskPoint, RowsError, StoresAdvice, Summary};
use crate::season::{Forcing, LossPath};

/// Steps of the curve of risk.
const STEPS: usize = 60;

fn dates(summary: &Summary) -> Dates {
    Dates {
        start: summary.start,
        days: summary.days,
    }
}

/// Honey left over the winter.
pub(super) fn stores_left(
    report: &RunReport<'_>,
    rows: &MemberRows,
) -> Result<StoresLeft, RowsError> {
    let s = report.summary;
    let ends = rows.values_of_some(|row| {
        row.end_day().map(|day| ColonyEnd {
            end: row.end,
            day,
            left_kg: row.left_kg,
        })
    })?;
    let days_kg = s.daily.iter().map(|day| day.stores_kg).collect();
    Ok(StoresLeft::new(dates(s), rows.len(), days_kg, ends))
}

/// Honey needed.
pub(super) fn honey_needed(report: &RunReport<'_>) -> HoneyNeeded {
    let (s, advice) = (report.summary, report.advice);
    let needs_kg = advice.needs_kg();
    let dots_kg = if needs_kg.len() < NEEDED_DOTS {
        needs_kg.to_vec()
    } else {
        let share = |dot: usize| (dot as f64 + 0.5) / NEEDED_DOTS as f64;
        (0..NEEDED_DOTS)
            .map(|dot| quantile(needs_kg, share(dot)))
            .collect()
    };
    HoneyNeeded {
        dots_kg,
        members: s.members,
        stores_kg: advice.stores_kg,
        fed_kg: advice.fed_kg,
        needing_more: advice
            .risk_at(advice.stores_kg + advice.fed_kg)
            .needing_more
            .share,
        starved: s.starved,
        chilled: s.chilled(),
        ranges_kg: [0.5, 0.8, 0.95]
            .into_iter()
            .filter_map(|share| {
                let need = s.need(share)?;
                Some((share, need.kg, need.shared?.range()))
            })
            .collect(),
    }
}

/// Risk over stores.
pub(super) fn risk(report: &RunReport<'_>) -> Risk {
    let (s, advice) = (report.summary, report.advice);
    let has_kg = advice.stores_kg + advice.fed_kg;
    let needs_kg = advice.needs_kg();
    let least_kg = needs_kg.first().map_or(has_kg, |kg| kg.min(has_kg)).floor();
    let most_kg = needs_kg
        .last()
        .map_or(has_kg, |kg| kg.max(has_kg))
        .ceil()
        .max(least_kg + 1.0);
    let at = |kg: f64| of_point(&advice.risk_at(kg));
    let step_kg = (most_kg - least_kg) / STEPS as f64;
    Risk {
        points: (0..=STEPS)
            .map(|step| at(least_kg + step as f64 * step_kg))
            .collect(),
        own: at(has_kg),
        fed_kg: advice.fed_kg,
        small_kg: first(advice, |risk| risk.needing_more.share < SMALL_RISK)
            .filter(|_| s.members as f64 * SMALL_RISK >= 1.0),
        surely_small_kg: first(advice, |risk| risk.needing_more.interval.1 < SMALL_RISK),
        members: s.members,
        starved: s.starved,
        chilled: s.chilled(),
    }
}

fn of_point(point: &RiskPoint) -> RiskAt {
    RiskAt {
        stores_kg: point.stores_kg,
        share: point.needing_more.share,
        interval: point.needing_more.interval,
        shared: point.needing_more.shared.map(|shared| shared.range()),
    }
}

/// The least need at which the risk is so: it only changes at needs, and falls.
fn first(advice: &StoresAdvice, is: impl Fn(&RiskPoint) -> bool) -> Option<f64> {
    let needs_kg = advice.needs_kg();
    let number = needs_kg.partition_point(|kg| !is(&advice.risk_at(*kg)));
    needs_kg.get(number).copied()
}

/// Ways of the chart that paths of the ledger go, by their place in [`crate::chart::WAYS`].
fn way(path: LossPath) -> usize {
    match path {
        LossPath::Front | LossPath::Right | LossPath::Back | LossPath::Left => 0,
        LossPath::Lid => 1,
        LossPath::Floor => 2,
        LossPath::LowerAir | LossPath::UpperAir | LossPath::Fanning => 3,
        LossPath::Vapour => 4,
    }
}

/// Heat by month.
pub(super) fn heat_by_month(report: &RunReport<'_>, rows: &MemberRows) -> HeatByMonth {
    let dates = dates(report.summary);
    let months = dates.numbered().into_iter().map(|(number, days)| {
        let sum = rows.monthly_heat().of(number).copied().unwrap_or_default();
        let seconds = (3600.0 * sum.lived_h).max(1.0);
        let mut ways_w = [0.0; crate::chart::WAYS.len()];
        for path in LossPath::ALL {
            ways_w[way(path)] += sum.paths_j[path as usize] / seconds;
        }
        MonthOfHeat {
            // A 29 February is lived too.
            lived: (sum.lived_h / (24.0 * (days * rows.len()).max(1) as f64)).min(1.0),
            made_w: sum.made_j / seconds,
            stored_w: sum.stored_j / seconds,
            ways_w,
        }
    });
    HeatByMonth {
        months: months.collect(),
        dates,
    }
}

/// Hours with a wet lid.
pub(super) fn wet_lid(report: &RunReport<'_>, rows: &MemberRows) -> Result<WetLid, RowsError> {
    let dates = dates(report.summary);
    let plan = &report.prepared.plan;
    let winters = &plan.winters;
    let mut of_winter = vec![Vec::with_capacity(dates.days); winters.len()];
    for day in 0..dates.days {
        let mut of_day = vec![(0.0, 0u32); winters.len()];
        for (member, hours) in (0..).zip(rows.on_day(day, Daily::WetLidH)?) {
            if !hours.is_nan() {
                let (sum_h, count) = &mut of_day[plan.winter_of(member)];
                *sum_h += f64::from(hours);
                *count += 1;
            }
        }
        for (days, sums) in of_winter.iter_mut().zip(of_day) {
            days.push(sums);
        }
    }
    let mean = |sum_h: f64, count: u32| (count > 0).then(|| sum_h / f64::from(count));
    let months_h = dates.spans().into_iter().map(|(from, to)| {
        let days = of_winter
            .iter()
            .flat_map(|days| days.iter().take(to).skip(from));
        let (sum_h, count) = days.fold((0.0, 0), |(sum_h, count), day| {
            (sum_h + day.0, count + day.1)
        });
        mean(sum_h, count)
    });
    // Fewer members than winters leave some unrun.
    let run = winters.iter().zip(&of_winter);
    let run = run.filter(|(_, days)| days.iter().any(|day| day.1 > 0));
    let of_winters = run.clone().count();
    let row = |(winter, days): (&Forcing, &Vec<(f64, u32)>)| {
        WetWinter::new(
            &winter.label,
            days.iter().map(|(sum_h, count)| mean(*sum_h, *count)),
        )
    };
    Ok(WetLid {
        months_h: months_h.collect(),
        dates,
        winters: run.take(WET_ROWS).map(row).collect(),
        of_winters,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::chart::{Look, Theme};
    use crate::ensemble;
    use crate::report::Provenance;
    use crate::report::charts::of_run;
    use crate::report::members;
    use crate::scenario;
    use crate::units::System;

    /// A few members of the built-in scenario with other stores, and what is made of them.
    fn with_run(stores_kg: f64, look: impl Fn(&RunReport<'_>, &MemberRows)) {
        let mut scenario = scenario::built_in();
        scenario.colony.stores_kg = stores_kg;
        let mut prepared = scenario.prepare().expect("a plan");
        prepared.plan.members = 12;
        let plan = &prepared.plan;
        let rows = ensemble::run(plan, &()).expect("an ensemble");
        let summary = Summary::new(plan, &rows).expect("rows");
        let advice = StoresAdvice::new(plan, &rows, &summary, &prepared.before_c);
        let advice = advice.expect("rows");
        let report = RunReport {
            scenario: &scenario,
            prepared: &prepared,
            summary: &summary,
            advice: &advice,
            precision: None,
            provenance: &Provenance::new(&scenario, &prepared),
        };
        look(&report, &rows);
    }

    #[test]
    fn heat_of_the_months_is_that_of_the_ledger() {
        with_run(15.0, |report, rows| {
            let (held, days) = rows.in_memory().expect("few");
            for (row, days) in held.iter().zip(days) {
                let months = || (1..=12).filter_map(|month| days.monthly_heat.of(month));
                let close = |sum_j: f64, whole_j: f64| {
                    assert!(
                        (sum_j - whole_j).abs() < 1e-9 * row.ledger.made_j,
                        "{sum_j} {whole_j}"
                    );
                };
                close(months().map(|heat| heat.made_j).sum(), row.ledger.made_j);
                close(
                    months().map(|heat| heat.stored_j).sum(),
                    row.ledger.stored_j,
                );
                for path in LossPath::ALL {
                    close(
                        months().map(|heat| heat.paths_j[path as usize]).sum(),
                        row.ledger.lost_j(path),
                    );
                }
                let lived_h: f64 = months().map(|heat| heat.lived_h).sum();
                assert_eq!(lived_h, 24.0 * row.days as f64);
            }
            let heat = heat_by_month(report, rows);
            for month in heat.months {
                let lost_w: f64 = month.ways_w.iter().sum();
                assert!((month.made_w - month.stored_w - lost_w).abs() < 1e-6 * month.made_w);
            }
        });
    }

    #[test]
    fn dots_risk_and_ends_count_the_same_members() {
        with_run(11.0, |report, rows| {
            let has_kg = report.advice.stores_kg + report.advice.fed_kg;
            let beyond = rows.count(|row| row.need_kg > has_kg).expect("rows");
            assert!(0 < beyond && beyond < rows.len(), "{beyond}");
            let dots = honey_needed(report).dots_kg;
            assert_eq!(dots.iter().filter(|kg| **kg > has_kg).count(), beyond);
            let risk = risk(report);
            assert_eq!(risk.own.share, beyond as f64 / rows.len() as f64);
            // Twelve members cannot tell a twentieth.
            assert_eq!((risk.small_kg, risk.surely_small_kg), (None, None));
            let left = stores_left(report, rows).expect("rows");
            let ended = rows.count(|row| row.end_day().is_some()).expect("rows");
            assert_eq!(left.counts.iter().sum::<usize>(), ended);
            assert_eq!(left.ends.len(), ended);
        });
    }

    #[test]
    fn members_put_aside_give_the_same_charts_and_the_same_table() {
        with_run(11.0, |report, rows| {
            let mut aside = MemberRows::holding(5);
            aside.copy_from(rows, rows.len()).expect("a disk");
            assert!(aside.in_memory().is_none());
            let look = Look {
                width_px: Look::USUAL_WIDTH_PX,
                theme: Theme::Light,
                units: System::Metric,
            };
            let charts = |rows: &MemberRows| -> Vec<String> {
                let charts = of_run(report, rows).expect("a disk");
                charts.iter().map(|chart| chart.svg(look, "")).collect()
            };
            assert_eq!(charts(&aside), charts(rows));
            let table = |rows: &MemberRows| {
                let mut bytes = Vec::new();
                let plan = &report.prepared.plan;
                members::write(plan, rows, report.provenance, &mut bytes).expect("a disk");
                bytes
            };
            assert_eq!(table(&aside), table(rows));
        });
    }

    #[test]
    fn the_calendar_is_blank_where_all_of_a_winter_have_died() {
        with_run(5.0, |report, rows| {
            let calendar = wet_lid(report, rows).expect("rows");
            let (rows, _) = rows.in_memory().expect("few");
            assert_eq!(calendar.winters.len(), report.prepared.plan.winters.len());
            for (number, winter) in calendar.winters.iter().enumerate() {
                let own = rows.iter().filter(|row| row.winter == number);
                let lived = own.map(|row| row.days).max();
                let known = winter.days.iter().filter(|day| day.is_some()).count();
                assert_eq!(Some(known), lived.map(|days| days.min(calendar.dates.days)));
            }
            assert!(
                calendar
                    .winters
                    .iter()
                    .any(|winter| winter.days.contains(&None))
            );
        });
    }
}
