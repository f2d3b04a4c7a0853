use super::super::grammar::stack;
use super::super::layers::Rect;
use super::*;
use crate::chart::Kind;

fn layer(material: &str, thickness_m: f64) -> DrawnLayer {
    DrawnLayer {
        material: material.to_owned(),
        kind: Kind::Wood,
        thickness_m,
        framing: None,
    }
}

fn hive() -> HiveSection {
    HiveSection {
        name: "oak".to_owned(),
        length_m: 0.465,
        width_m: 0.375,
        box_height_m: 0.244,
        boxes: 2,
        frames: 10,
        wall: vec![layer("softwood", 0.02), layer("xps", 0.06)],
        lid: vec![layer("plywood", 0.01), layer("steel", 0.0005)],
        floor: vec![layer("softwood", 0.02)],
        covered: 1.0,
        mesh: None,
        entrances: vec![Hole {
            what: "entrance".to_owned(),
            width_m: 0.15,
            height_m: 0.01,
            corked: false,
        }],
        upper: vec![],
        shared: vec![],
        changes: vec![],
        loss: SectionLoss {
            inside_c: 10.0,
            outside_c: -10.0,
            wind_m_s: 1.0,
            u_w_m2k: [Some(0.5), Some(3.0), Some(2.0)],
            parts_w_k: [0.5, 0.8, 0.4, 0.3],
        },
    }
}

fn title(parts_w_k: [f64; 4]) -> String {
    let mut hive = hive();
    hive.loss.parts_w_k = parts_w_k;
    hive.finding(System::Metric)
}

#[test]
fn the_title_names_the_part_that_loses_most_and_parts_that_lose_alike() {
    let most = title([1.2, 0.5, 0.2, 0.1]);
    assert_eq!(most, "oak: most heat would go through the sides, 60\u{a0}%");
    assert!(title([0.5, 0.8, 0.4, 0.3]).contains("most of all would go through the lid, 40"));
    assert!(title([0.6, 0.6, 0.4, 0.4]).contains("the sides and the lid would lose most, 30"));
    assert!(title([0.0; 4]).contains("no heat would leave"));
}

#[test]
fn drawn_lengths_are_to_each_other_as_real_ones() {
    let hive = hive();
    for width_px in [320, 960, 4000] {
        let look = Look::wide(width_px);
        let plan = Plan::new(&hive, look);
        let area = Area {
            left: 10.0,
            top: 20.0,
            width: f64::from(width_px) - 20.0,
            height: plan.height,
        };
        let (left, _, inside, high) = plan.rect(area, plan.inside_m());
        assert!((inside / high - 0.465 / 0.488).abs() < 1e-9);
        let sides = plan.sides_m(&hive);
        let drawn: Vec<Rect> = sides.iter().map(|side| plan.rect(area, side.1)).collect();
        // Back wood, front wood, back foam, front foam.
        assert!((drawn[2].2 / drawn[0].2 - 3.0).abs() < 1e-9);
        assert!((drawn[0].0 + drawn[0].2 - left).abs() < 1e-9);
        assert!((drawn[3].0 - drawn[1].0 - drawn[1].2).abs() < 1e-9);
        let lid = plan.rect(area, plan.lid_m(&hive)[0].1);
        assert!((lid.2 / inside - (0.465 + 0.16) / 0.465).abs() < 1e-9);
        let hole = plan.rect(area, plan.holes_m(&hive)[0].1);
        assert!((hole.3 / high - 0.01 / 0.488).abs() < 1e-9);
        let floor = plan.rect(area, plan.floor_m(&hive)[0].1);
        assert!((hole.1 + hole.3 - floor.1).abs() < 1e-9);
    }
}

#[test]
fn labels_are_below_each_other_within_the_picture() {
    let mut hive = hive();
    hive.lid = (0..12).map(|_| layer("steel", 0.0005)).collect();
    let plan = Plan::new(&hive, Look::default());
    let labels = hive.labelled(&plan, System::Metric);
    // Twelve of the lid, two of the wall, an entrance, a floor and four heads.
    assert_eq!(labels.len(), 12 + 2 + 1 + 1 + 4);
    let heights: Vec<(f64, f64)> = labels
        .iter()
        .map(|label| (0.0, plan.height_of(label)))
        .collect();
    let tops = stack(&heights, 0.0, plan.height);
    let last = tops.len() - 1;
    assert!(tops[last] + heights[last].1 <= plan.height + 1e-9);
}

#[test]
fn an_open_mesh_has_no_u_value_and_a_hive_of_one_thin_box_is_drawn() {
    let mut hive = hive();
    hive.boxes = 1;
    hive.floor.clear();
    hive.covered = 0.0;
    hive.mesh = Some(0.6);
    hive.loss.u_w_m2k[2] = None;
    hive.entrances.clear();
    hive.lid = vec![layer("paint", 0.0001)];
    let svg = hive.draw("hive", Look::default(), "");
    assert!(svg.contains("Floor: open") && svg.contains("mesh, 60"));
    assert!(svg.contains("comb") && !svg.contains("NaN"));
}

#[test]
fn a_change_says_when_it_holds_and_of_what_it_is() {
    let mut hive = hive();
    hive.changes = vec![SectionChange {
        from: Some((11, 15)),
        until: Some((3, 1)),
        below_c: Some(-5.0),
        above_c: None,
        alters: vec![
            ("wrap".to_owned(), vec![layer("xps", 0.038)]),
            ("vents".to_owned(), vec![]),
        ],
    }];
    let notes = hive.notes(System::Metric);
    let last = notes.last().map(String::as_str);
    assert_eq!(
        last,
        Some(
            "1. From 15 November until 1 March while colder than \u{2212}5 °C: wrap of 38\u{a0}mm XPS; vents"
        )
    );
}
