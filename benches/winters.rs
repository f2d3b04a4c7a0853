//! Winters a second: on one thread at every width, and an ensemble on all cores.
//!
//! `cargo bench -p overwinter-benches --bench winters`: an item is one winter of one colony, so `item/s` are winters a second. Members that run short go on as if fed from there
//! and count once.

use divan::Bencher;
use divan::counter::ItemsCount;
use overwinter::ensemble::{self, MemberRows, Plan, Summary};
use overwinter::scenario;
use overwinter::season::{Member, RunInput, Width, run_batch};

fn main() {
    divan::main();
}

/// The sample, thin softwood.
fn sample() -> Plan {
    scenario::built_in().prepare().expect("the sample").plan
}

fn members(plan: &Plan, count: u32) -> Vec<Member> {
    let draws = plan.draws();
    (0..count)
        .map(|number| plan.member(&draws, number))
        .collect()
}

fn run_all(plan: &Plan, members: &[Member], width: Width) -> f64 {
    let numbered = (0..).zip(members);
    let colonies: Vec<RunInput<'_>> = numbered
        .map(|(number, member)| RunInput {
            member,
            site: &plan.site,
            forcing: &plan.winters[plan.winter_of(number)],
        })
        .collect();
    let ran = run_batch(&colonies, width, &mut || true);
    let need_kg = |outcome: overwinter::season::RunResult| {
        let outcome = outcome.expect("run").expect("a winter");
        outcome.need_kg
    };
    ran.into_iter().map(need_kg).sum()
}

const WIDTHS: [Width; 3] = [Width::One, Width::Four, Width::Eight];

/// The full model, moisture and all, on one thread.
#[divan::bench(args = WIDTHS, sample_count = 5)]
fn full_model_on_one_thread(bencher: Bencher<'_, '_>, width: Width) {
    let plan = sample();
    let members = members(&plan, 64);
    bencher
        .counter(ItemsCount::new(members.len()))
        .bench(|| run_all(&plan, &members, width));
}

/// The same hive with colonies that rear no brood and lack no honey.
#[divan::bench(args = WIDTHS, sample_count = 5)]
fn broodless_on_one_thread(bencher: Bencher<'_, '_>, width: Width) {
    let plan = sample();
    let mut members = members(&plan, 64);
    for member in &mut members {
        member.parameters.peak_eggs_per_day = 0.0;
        member.colony.stores_kg = 40.0;
    }
    bencher
        .counter(ItemsCount::new(members.len()))
        .bench(|| run_all(&plan, &members, width));
}

/// The sample's ensemble on all cores.
#[divan::bench(args = [300], sample_count = 5)]
fn ensemble_on_all_cores(bencher: Bencher<'_, '_>, members: u32) {
    let mut plan = sample();
    plan.members = members;
    bencher
        .counter(ItemsCount::new(members))
        .bench(|| ensemble::run(&plan, &()).expect("an ensemble"));
}

/// All figures of an ensemble from its rows; an item is a member.
#[divan::bench(args = [1_000, 10_000], sample_count = 5)]
fn statistics(bencher: Bencher<'_, '_>, members: usize) {
    let mut plan = sample();
    plan.members = 100;
    let some = ensemble::run(&plan, &()).expect("an ensemble");
    let (rows, days) = some.in_memory().expect("so few");
    let mut many = MemberRows::new();
    let copies = rows.iter().zip(days).cycle().take(members);
    for (number, (row, days)) in (0..).zip(copies) {
        let mut row = row.clone();
        row.member = number;
        many.push(row, days.clone()).expect("room");
    }
    bencher
        .counter(ItemsCount::new(members))
        .bench(|| Summary::new(&plan, &many).expect("rows"));
}
