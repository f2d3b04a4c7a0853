use super::*;

fn need(differences_kg: Vec<f64>, told: PairedDifference) -> PairedNeed {
    let share = |wanted| {
        let count = differences_kg.iter().filter(|kg| side(**kg) == wanted);
        count.count() as f64 / differences_kg.len() as f64
    };
    PairedNeed {
        letters: ['A', 'B'],
        names: ["Wood", "Foam"].map(str::to_owned),
        pairs: differences_kg.len(),
        less: share(0),
        more: share(1),
        differences_kg: even_shares(differences_kg),
        told,
        winters: 10,
    }
}

fn told(mean: f64, interval: Option<(f64, f64)>, verdict: Verdict) -> PairedDifference {
    PairedDifference {
        mean,
        interval,
        verdict,
        shared: None,
    }
}

#[test]
fn the_title_says_what_pairs_tell_and_what_they_cannot() {
    let says = |told: PairedDifference| need(vec![-1.0, 0.5], told).finding(System::Metric);
    let within = Some((-1.14, -0.51));
    assert_eq!(
        says(told(-0.83, within, Verdict::Less)),
        "Foam needs 0.8\u{a0}kg less honey than Wood (0.5 to 1.1)"
    );
    assert!(
        says(told(-0.83, within, Verdict::LessHere))
            .ends_with("here; these 10 winters cannot tell of others")
    );
    assert_eq!(
        says(told(-0.1, Some((-0.3, 0.1)), Verdict::CannotTell)),
        "No clear effect: Foam needs 0.3\u{a0}kg less to 0.1\u{a0}kg more honey than Wood"
    );
    let shared = |ends| PairedDifference {
        shared: Some(ends),
        ..told(-0.83, within, Verdict::Less)
    };
    assert_eq!(
        says(shared((-1.4, -0.2))),
        "Foam needs 0.8\u{a0}kg less honey than Wood (0.2 to 1.4)"
    );
    assert_eq!(
        says(shared((-1.4, 0.2))),
        "Direction uncertain: Foam needs 1.4\u{a0}kg less to 0.2\u{a0}kg more honey than Wood"
    );
    assert!(says(told(-0.1, None, Verdict::CannotTell)).starts_with("One pair cannot tell"));
    assert!(says(told(0.0, Some((0.0, 0.0)), Verdict::Same)).contains("same honey in every pair"));
}

#[test]
fn as_many_dots_lie_below_zero_as_hundredths_of_the_pairs() {
    let dots = even_shares((0..1000).map(|i| f64::from(i) - 723.5).collect());
    assert_eq!(dots.len(), DOTS);
    assert_eq!(dots.iter().filter(|kg| **kg < 0.0).count(), 72);
    assert_eq!(even_shares(vec![2.0, 1.0]), [1.0, 2.0]);
}

#[test]
fn one_pair_pairs_all_alike_and_wide_ones_can_be_drawn() {
    let alike = told(0.0, Some((0.0, 0.0)), Verdict::Same);
    let one = told(-1.0, None, Verdict::CannotTell);
    for need in [
        need(vec![0.0; 300], alike),
        need(vec![-1.0], one),
        need((0..200).map(|i| -f64::from(i)).collect(), one),
    ] {
        let svg = need.draw("difference-a-b", Look::wide(320), "");
        let marks = svg.matches("<title>").count();
        assert_eq!(marks, need.differences_kg.len() + 1);
        assert!(!svg.contains("NaN") && !svg.contains("inf"));
    }
}
