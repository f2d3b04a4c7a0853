//! How time grows with members, winters, nodes and threads: `cargo bench -p overwinter-benches --bench scaling` prints tables.
//!
//! Each time is the least of three, by the clock. On a machine that does other work it is rough.

use overwinter::ensemble::{self, Plan};
use overwinter::hive::Layer;
use overwinter::{material, scenario};
use std::time::Instant;

const MEMBERS: u32 = 256;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    // `cargo test --benches` only wants to see it start.
    if std::env::args().any(|argument| argument == "--test") {
        return Ok(());
    }
    let plan = scenario::built_in().prepare()?.plan;
    println!("| members | s | winters/s |\n|---|---|---|");
    for members in [8, 64, 512, 2_048] {
        row(&members.to_string(), &with_members(&plan, members), 1)?;
    }
    println!("\n| winters | s | winters/s |\n|---|---|---|");
    for winters in [1, 4, plan.winters.len()] {
        let mut some = with_members(&plan, MEMBERS);
        some.winters.truncate(winters);
        row(&winters.to_string(), &some, 1)?;
    }
    println!("\n| boards in each wall | s | winters/s |\n|---|---|---|");
    let board = material::find("softwood")?;
    for boards in [1, 2, 4, 8] {
        let mut thick = with_members(&plan, MEMBERS);
        thick.hive.wall = vec![Layer::new(board.clone(), 0.019); boards];
        row(&boards.to_string(), &thick, 1)?;
    }
    println!("\n| threads | s | winters/s |\n|---|---|---|");
    let cores = std::thread::available_parallelism()?.get();
    for threads in (1..=cores).filter(|threads| cores.is_multiple_of(*threads)) {
        row(&threads.to_string(), &with_members(&plan, 2_048), threads)?;
    }
    Ok(())
}

fn with_members(plan: &Plan, members: u32) -> Plan {
    Plan {
        members,
        ..plan.clone()
    }
}

fn row(what: &str, plan: &Plan, threads: usize) -> Result<(), Box<dyn std::error::Error>> {
    let pool = rayon::ThreadPoolBuilder::new()
        .num_threads(threads)
        .build()?;
    let mut least_s = f64::INFINITY;
    for _ in 0..3 {
        let began = Instant::now();
        pool.install(|| ensemble::run(plan, &()))?;
        least_s = least_s.min(began.elapsed().as_secs_f64());
    }
    let a_second = f64::from(plan.members) / least_s;
    println!("| {what} | {least_s:.2} | {a_second:.0} |");
    Ok(())
}
