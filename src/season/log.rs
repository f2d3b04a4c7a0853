//! What is kept of a colony day by day, and where it is run again as if fed.

use super::ledger::Ledger;
use super::monthly::MonthlyHeat;
use super::outcome::{DayRecord, Outcome, date_of};
use super::season_run::SeasonRun;
use crate::colony::{Day, End, Life};

/// The days of one colony so far.
pub(super) struct Log {
    bare_kg: f64,
    days: Vec<DayRecord>,
    monthly_heat: MonthlyHeat,
    /// As they stood at the last midnight.
    ledger: Ledger,
    wet_lid_h: f64,
    ended: Option<(End, usize)>,
    branched: bool,
}

impl Log {
    /// Before the first day of a run.
    pub(super) fn new(season_run: &SeasonRun<'_>) -> Self {
        Self {
            bare_kg: season_run.bare_kg(),
            days: Vec::with_capacity(season_run.forcing().days()),
            monthly_heat: MonthlyHeat::default(),
            ledger: Ledger::default(),
            wet_lid_h: 0.0,
            ended: None,
            branched: false,
        }
    }

    /// Whether the colony has ended.
    pub(super) fn has_ended(&self) -> bool {
        self.ended.is_some()
    }

    /// Ends a day of the colony, counted from 0, by what its hours told. Where scant stores, or the end, first tell: the colony as it is when fed from then on.
    pub(super) fn close_day(
        &mut self,
        season_run: &mut SeasonRun<'_>,
        day: usize,
        today: &Day,
    ) -> Option<Life> {
        let p = season_run.parameters();
        let ledger = season_run.hours.ledger;
        if let Some(date) = date_of(season_run.forcing(), day) {
            self.monthly_heat.book(date.month(), &self.ledger, &ledger);
        }
        self.ledger = ledger;
        let unfed = (!self.branched).then(|| season_run.life.clone());
        let end = season_run.life.end_day(today, p);
        let life = &season_run.life;
        let fed = unfed.filter(|_| end.is_some() || !life.unlimited);
        let fed = fed.map(|mut fed| {
            fed.feed();
            fed.end_day(today, p);
            fed
        });
        self.branched |= fed.is_some();
        let wet_lid_h = season_run.hours.wet.wet_lid_h();
        self.days.push(DayRecord {
            stores_kg: life.stores.total_kg(),
            place: life.place(today.seams),
            used_kg: life.used.total_kg(),
            bees: life.bees.total(),
            reared_bees: life.bees.headcount().reared,
            brood: life.brood.total(),
            flight_h: today.flight_h,
            cleansing_h: today.cleansing_h,
            gut_share: life.gut.share(p),
            heat_w: today.heat_j / 86_400.0,
            wet_lid_h: wet_lid_h - self.wet_lid_h,
            gross_kg: season_run.gross_kg(),
            outside_c: today.outside_c,
            beside_c: season_run.hours.today.beside_c,
            seams: today.seams,
            changes: season_run.in_force,
        });
        self.wet_lid_h = wet_lid_h;
        self.ended = end.map(|end| (end, day));
        fed
    }

    /// What became of the colony, once it has ended or the winter has, and of what it was as if fed, if it was run so.
    pub(super) fn outcome(self, season_run: &SeasonRun<'_>, fed: Option<&Life>) -> Outcome {
        let life = &season_run.life;
        let ample = fed.unwrap_or(life);
        let end_day = self.ended.map(|(_, day)| day);
        Outcome {
            end: self.ended.map_or(End::Alive, |(end, _)| end),
            end_day,
            end_date: end_day.and_then(|day| date_of(season_run.forcing(), day)),
            used: life.used,
            need_kg: ample.used.total_kg(),
            need_before_brood_kg: ample.before_brood_kg,
            start_need_kg: ample.drawn_kg,
            stores_left_kg: life.stores.total_kg(),
            feed: life.feeder.count,
            bees: life.bees.total(),
            headcount: life.bees.headcount(),
            brood: life.brood.count(),
            gut: life.gut,
            bare_kg: self.bare_kg,
            coldest_mantle_c: season_run.hours.coldest_mantle_c,
            wetness: season_run.hours.wet.wetness(),
            ledger: season_run.hours.ledger,
            monthly_heat: self.monthly_heat,
            days: self.days,
        }
    }
}
