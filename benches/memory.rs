//! Most memory that a process takes, against the members of an ensemble: `cargo bench -p overwinter-benches --bench memory` prints a table.
//!
//! Colonies of the sample stand in for others: a thousand are run and then taken again and again, so that a million members take two minutes and not an hour. All that
//! `overwinter run --out` makes of members is made of them: summary, advice, charts and the table of members. Linux tells the most memory that a process has
//! had (`VmHWM`), so each line is a process of its own.

use overwinter::ensemble::{self, MemberRows, StoresAdvice, Summary};
use overwinter::report::{OutputFolder, Provenance, RunReport, charts, members};
use overwinter::scenario;
use std::error::Error;
use std::hint::black_box;
use std::process::Command;
use std::time::Instant;

/// Colonies that are run.
const RUN: u32 = 1000;
/// Tells a process of this bench how many members to have.
const MEMBERS: &str = "OVERWINTER_BENCH_MEMBERS";

fn main() -> Result<(), Box<dyn Error>> {
    // `cargo test --benches` only wants to see it start.
    if std::env::args().any(|argument| argument == "--test") {
        return Ok(());
    }
    if let Ok(members) = std::env::var(MEMBERS) {
        return line(members.parse()?);
    }
    println!("| members | most memory, MiB | s for all that is made of them |\n|---|---|---|");
    for members in [1_000, 10_000, 100_000, 1_000_000] {
        let own = std::env::current_exe()?;
        let status = Command::new(own)
            .env(MEMBERS, members.to_string())
            .status()?;
        if !status.success() {
            return Err(format!("{members} members: {status}").into());
        }
    }
    Ok(())
}

fn line(members: usize) -> Result<(), Box<dyn Error>> {
    let scenario = scenario::built_in();
    let mut prepared = scenario.prepare()?;
    prepared.plan.members = RUN;
    let some = ensemble::run(&prepared.plan, &())?;
    let (rows, days) = some.in_memory().ok_or("so few are held")?;
    let began = Instant::now();
    let mut many = MemberRows::new();
    let copies = rows.iter().zip(days).cycle().take(members);
    for (number, (row, days)) in (0..).zip(copies) {
        let mut row = row.clone();
        row.member = number;
        many.push(row, days.clone())?;
    }
    let plan = &prepared.plan;
    let summary = Summary::new(plan, &many)?;
    let advice = StoresAdvice::new(plan, &many, &summary, &prepared.before_c)?;
    let provenance = Provenance::new(&scenario, &prepared);
    let report = RunReport {
        scenario: &scenario,
        prepared: &prepared,
        summary: &summary,
        advice: &advice,
        precision: None,
        provenance: &provenance,
    };
    let home = tempfile::tempdir()?;
    let mut folder = OutputFolder::new(&home.path().join("results"), false)?;
    folder.add_written("members.csv", |file| {
        members::write(plan, &many, &provenance, file)
    })?;
    black_box(charts::of_run(&report, &many)?);
    folder.finish()?;
    let taken_s = began.elapsed().as_secs_f64();
    let most_mib =
        most_memory_mib().map_or_else(|| "not told".to_owned(), |mib| format!("{mib:.0}"));
    println!("| {members} | {most_mib} | {taken_s:.1} |");
    Ok(())
}

/// The most memory that this process has had, MiB; none where the system does not tell.
fn most_memory_mib() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status
        .lines()
        .find_map(|line| line.strip_prefix("VmHWM:"))?;
    let kib: f64 = line.trim().strip_suffix("kB")?.trim().parse().ok()?;
    Some(kib / 1024.0)
}
