use super::super::metric;
use super::*;

pub fn setting(key: &str, values: &[&str]) -> SweptSetting {
    SweptSetting::new(
        key,
        &values
            .iter()
            .map(|value| (*value).to_owned())
            .collect::<Vec<_>>(),
    )
}

/// Levels about these values, each told from the first unless it is as large.
pub fn swept(measure: Measure, settings: Vec<SweptSetting>, values: &[f64]) -> Swept {
    let half = if measure == Measure::Need { 0.4 } else { 0.04 };
    let answer = |(number, value): (usize, &f64)| {
        let difference = value - values[0];
        let level = |value: f64| (value, (value - 0.5 * half, value + 0.5 * half));
        SweptAnswer {
            levels: match measure {
                Measure::Need => vec![level(value - 2.0), level(*value), level(value + 3.0)],
                Measure::Risk => vec![level(*value)],
            },
            shared: Vec::new(),
            stores_kg: 15.0,
            difference: (number > 0).then_some(PairedDifference {
                mean: difference,
                interval: Some((difference - half, difference + half)),
                verdict: match difference {
                    d if d < -half => Verdict::Less,
                    d if d > half => Verdict::More,
                    _ => Verdict::CannotTell,
                },
                shared: None,
            }),
        }
    };
    Swept {
        measure,
        settings,
        answers: values.iter().enumerate().map(answer).collect(),
        members: 400,
        winters: 10,
    }
}

#[test]
fn values_are_numbers_days_or_words() {
    let along = |values: &[&str]| setting("k", values).along;
    assert_eq!(
        along(&["20 mm", "2 in"]),
        Along::Numbers {
            values: vec![0.02, 0.0508],
            dimension: Some(Dimension::Length)
        }
    );
    assert_eq!(
        along(&["2 K", "4 K"]),
        Along::Numbers {
            values: vec![2.0, 4.0],
            dimension: Some(Dimension::TemperatureDifference)
        }
    );
    assert_eq!(
        along(&["8000", "9000"]),
        Along::Numbers {
            values: vec![8000.0, 9000.0],
            dimension: None
        }
    );
    assert_eq!(along(&["1 November", "1 January"]), Along::Days);
    assert_eq!(along(&["open", "0.1"]), Along::Words);
    assert_eq!(along(&["20 mm", "5 kg"]), Along::Words);
    assert_eq!(along(&["20 mm", "20 mm"]), Along::Words);
    assert_eq!(along(&["20 mm"]), Along::Words);
}

#[test]
fn values_are_shown_in_the_units_of_the_reader() {
    let thickness = setting("wall[1].thickness", &["20 mm", "50.8 mm"]);
    assert_eq!(thickness.value(1, System::Metric), "50.8\u{a0}mm");
    assert_eq!(thickness.value(1, System::Us), "2.00\u{a0}in");
    assert_eq!(
        setting("colour", &["\"white\"", "black"]).value(0, System::Us),
        "white"
    );
}

#[test]
fn the_title_says_by_how_much_or_that_it_cannot_be_told() {
    let of = |measure, values: &[f64]| {
        let names: Vec<String> = (0..values.len())
            .map(|n| format!("{} mm", 20 * (n + 1)))
            .collect();
        let names: Vec<&str> = names.iter().map(String::as_str).collect();
        swept(measure, vec![setting("hive.x", &names)], values).finding(System::Metric)
    };
    assert_eq!(
        of(Measure::Need, &[14.0, 13.0, 12.0]),
        "2.0\u{a0}kg less honey with hive.x 60\u{a0}mm than with 20\u{a0}mm"
    );
    assert_eq!(
        of(Measure::Risk, &[0.2, 0.5]),
        "30.0 points fewer starve with hive.x 20\u{a0}mm than with 40\u{a0}mm"
    );
    assert!(of(Measure::Need, &[14.0, 14.1]).starts_with("The data cannot tell whether hive.x changes honey need: from 0.3\u{a0}kg less to 0.5\u{a0}kg more than with 20\u{a0}mm"));
    assert!(of(Measure::Need, &[140.0, 140.5]).contains("hardly matters"));
    assert!(
        of(Measure::Need, &[140.0, 140.1]).contains("hardly matters for honey need: less than")
    );
    assert!(of(Measure::Risk, &[1.0, 1.0]).starts_with("All colonies starve"));
    assert!(of(Measure::Risk, &[0.0, 0.0]).starts_with("No colony starves"));
    assert!(of(Measure::Need, &[14.0]).starts_with("With 20"));
}

#[test]
fn other_winters_are_told_by_intervals_that_keep_clear() {
    let mut other = swept(
        Measure::Need,
        vec![setting("warming", &["0 K", "2 K"])],
        &[14.0, 12.0],
    );
    other.answers[1].difference = None;
    assert_eq!(
        metric(&other),
        "12.0\u{a0}kg of honey suffice in 80\u{a0}% of winters with warming 2\u{a0}K, 14.0\u{a0}kg with 0\u{a0}K"
    );
    other.answers[1].levels[1].1 = (11.0, 14.5);
    assert!(metric(&other).starts_with("The data cannot tell"));
}
