//! Winters a second: one thread alone, and an ensemble on all cores.
//!
//! `cargo bench`: an item is one winter of one colony, so `item/s` are winters a second.

use divan::Bencher;
use divan::counter::ItemsCount;
use overwinter::ensemble;
use overwinter::scenario;
use overwinter::season;

fn main() {
    divan::main();
}

/// Members of the sample, thin softwood, each through its winter to the end (as if fed from where stores ran short), on one thread.
#[divan::bench(args = [20], sample_count = 10)]
fn one_thread(bencher: Bencher<'_, '_>, members: u32) {
    let plan = scenario::built_in().prepare().expect("the sample").plan;
    let draws = plan.draws();
    let colonies: Vec<_> = (0..members)
        .map(|number| (plan.member(&draws, number), plan.winter_of(number)))
        .collect();
    bencher.counter(ItemsCount::new(members)).bench(|| {
        colonies
            .iter()
            .map(|(member, winter)| {
                let outcome = season::run(member, &plan.site, &plan.winters[*winter]);
                outcome.expect("a season").need_kg
            })
            .sum::<f64>()
    });
}

/// The sample's ensemble on all cores; members that ran short go on as if fed from there and count once.
#[divan::bench(args = [200], sample_count = 5)]
fn ensemble_on_all_cores(bencher: Bencher<'_, '_>, members: u32) {
    let mut plan = scenario::built_in().prepare().expect("the sample").plan;
    plan.members = members;
    bencher
        .counter(ItemsCount::new(members))
        .bench(|| ensemble::run(&plan, &()).expect("an ensemble"));
}
