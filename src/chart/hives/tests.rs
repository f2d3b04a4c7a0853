use super::super::metric;
use super::*;

fn told(mean: f64, half: f64, verdict: Verdict) -> Option<PairedDifference> {
    Some(PairedDifference {
        mean,
        interval: Some((mean - half, mean + half)),
        verdict,
        shared: None,
    })
}

fn hive(letter: char, need: Option<PairedDifference>, risk: Option<PairedDifference>) -> HiveRow {
    HiveRow {
        letter,
        name: format!("Hive {letter}"),
        need_kg: [10.0, 12.0, 15.0],
        stores_kg: 14.0,
        starved: 0.1,
        starved_interval: (0.07, 0.14),
        need_shared: [None; 3],
        starved_shared: None,
        need_against: need,
        starved_against: risk,
    }
}

fn hives(hives: Vec<HiveRow>) -> Hives {
    Hives {
        hives,
        pairs: 400,
        winters: 10,
    }
}

#[test]
fn the_title_names_what_saves_most_only_where_intervals_tell() {
    let unsure = told(0.0, 0.01, Verdict::CannotTell);
    let first = || hive('A', None, None);
    let saves =
        |letter, mean: f64, half: f64| hive(letter, told(-mean, half, Verdict::Less), unsure);
    assert_eq!(
        hives(vec![first(), saves('B', 1.0, 0.1), saves('C', 2.0, 0.1)]).finding(System::Metric),
        "C (Hive C) saves most honey against A: 2.0\u{a0}kg; no clear effect on risk against A"
    );
    assert!(
        metric(&hives(vec![
            first(),
            saves('B', 1.0, 0.6),
            saves('C', 1.2, 0.6)
        ]))
        .starts_with("C or B saves most honey against A, too close to rank")
    );
    let worse = hive(
        'B',
        told(1.0, 0.1, Verdict::More),
        told(0.04, 0.01, Verdict::More),
    );
    let one = hives(vec![first(), worse.clone(), worse]).finding(System::Metric);
    assert_eq!(
        one,
        "No hive is told to need less honey than A; more starve in all others"
    );
}

#[test]
fn two_hives_are_told_by_their_names_and_their_risk() {
    let other = hive(
        'B',
        told(-0.8, 0.3, Verdict::Less),
        told(-0.04, 0.02, Verdict::Less),
    );
    let two = hives(vec![hive('A', None, None), other]);
    assert_eq!(
        metric(&two),
        "Hive B needs 0.8\u{a0}kg less honey than Hive A (0.5 to 1.1); fewer starve in B"
    );
    assert_eq!(
        two.hives[1].risk_words('A'),
        "4.0 points fewer starve than in A (2.0 to 6.0)"
    );
}

#[test]
fn six_and_twenty_hives_with_long_names_that_all_starve_can_be_drawn() {
    let all = ('A'..='Z').map(|letter| HiveRow {
        name: "<script>".repeat(60),
        starved: 1.0,
        starved_interval: (0.99, 1.0),
        ..hive(
            letter,
            (letter > 'A')
                .then_some(())
                .and(told(0.0, 0.0, Verdict::Same)),
            None,
        )
    });
    let all = hives(all.collect());
    for width_px in [320, 1280] {
        let svg = all.draw("hives", Look::wide(width_px), "");
        assert!(svg.contains("all colonies starved") && !svg.contains("<script>"));
        assert_eq!(svg.matches("<title>").count(), 26 * 5);
    }
}
