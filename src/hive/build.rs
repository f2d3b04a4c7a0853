//! The bill of materials: every layer as it is cut.
//!
//! One rule of joinery: plain butt corners. In each layer the left and right pieces lie between the front and back pieces, which
//! cover their ends; so each layer grows with the thickness inside it. Every layer of the sides is cut once a box, as high as
//! the box, so that boxes come apart. Lid and floor pieces cover the whole outer plan, a board under half a mesh half of it.
//!
//! Not in it: frames, rims, cleats and handles, rebates, mesh, fastenings and paint; openings are not taken off. A roof that reaches over
//! the sides, and corners that are jointed otherwise, need more.

use super::build_up::BuildUp;
use super::description::Hive;
use super::parts::Layer;
use super::sheet::{Blank, Layout, Sheet, lay_out};
use crate::material::Material;
use serde::Serialize;

/// Materials of the table that are sold by volume or weight, beside the loose fillings.
const SOFT: [&str; 8] = [
    "paint",
    "mineral-wool",
    "sheep-wool",
    "snow-fresh",
    "snow",
    "snow-old",
    "honey",
    "beeswax",
];
/// Two layers of one material closer in thickness than this are cut from one sheet, m. Own choice.
const SAME_THICKNESS_M: f64 = 5e-5;

/// How a material is bought.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Form {
    /// Cut from sheets or boards.
    Sheet,
    /// By volume or weight.
    Loose,
    /// Not at all: gaps of air.
    Nothing,
}

impl Form {
    /// Of a material; one that a scenario defines counts as sheet.
    #[must_use]
    pub fn of(material: &Material) -> Self {
        if material.is_gap() {
            Self::Nothing
        } else if material.is_loose_fill() || SOFT.contains(&material.name.as_ref()) {
            Self::Loose
        } else {
            Self::Sheet
        }
    }
}

/// So much of a material.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Amount {
    /// Its name.
    pub material: String,
    /// How it is bought.
    pub form: Form,
    /// Area that it takes, m2.
    pub area_m2: f64,
    /// Volume, m3.
    pub volume_m3: f64,
    /// Mass, kg.
    pub mass_kg: f64,
}

impl Amount {
    fn new(material: &Material, area_m2: f64, thickness_m: f64) -> Self {
        let form = Form::of(material);
        let volume_m3 = area_m2 * thickness_m;
        let density_kg_m3 = match form {
            Form::Nothing => 0.0,
            Form::Sheet | Form::Loose => material.density_kg_m3,
        };
        Self {
            material: material.name.to_string(),
            form,
            area_m2,
            volume_m3,
            mass_kg: volume_m3 * density_kg_m3,
        }
    }
}

/// Pieces of one layer that are alike.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Pieces {
    /// What they make: "front and back", "left and right", "lid", "floor".
    pub part: &'static str,
    /// Number of the layer, 1 being the innermost.
    pub layer: usize,
    /// How many, in all boxes.
    pub number: u32,
    /// How many a box; none where they are not of a box.
    pub number_a_box: Option<u32>,
    /// Longer way of the part: along the side, or along the combs, m.
    pub length_m: f64,
    /// Other way: height of a box, or across the combs, m.
    pub width_m: f64,
    /// Thickness, m.
    pub thickness_m: f64,
    /// The layer's own material, all pieces together.
    pub filling: Amount,
    /// Studs, rails or battens in it, all pieces together.
    pub framing: Option<Amount>,
}

impl Pieces {
    fn new(
        (part, layer_number): (&'static str, usize),
        layer: &Layer,
        (number, number_a_box): (u32, Option<u32>),
        (length_m, width_m): (f64, f64),
    ) -> Self {
        let area_m2 = f64::from(number) * length_m * width_m;
        let share = layer.framing.as_ref().map_or(0.0, |framing| framing.share);
        let framing = layer.framing.as_ref();
        Self {
            part,
            layer: layer_number,
            number,
            number_a_box,
            length_m,
            width_m,
            thickness_m: layer.thickness_m,
            filling: Amount::new(&layer.material, (1.0 - share) * area_m2, layer.thickness_m),
            framing: framing
                .map(|framing| Amount::new(&framing.material, share * area_m2, layer.thickness_m)),
        }
    }

    /// Area of all pieces, framing in it, m2.
    #[must_use]
    pub fn area_m2(&self) -> f64 {
        f64::from(self.number) * self.length_m * self.width_m
    }

    /// Filling and framing.
    pub fn amounts(&self) -> impl Iterator<Item = &Amount> {
        std::iter::once(&self.filling).chain(&self.framing)
    }

    fn blank(&self) -> Blank {
        Blank {
            length_m: self.length_m,
            width_m: self.width_m,
            number: self.number,
        }
    }
}

/// Everything that a hive is built of.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Build {
    /// The pieces, sides first, from the inside out.
    pub pieces: Vec<Pieces>,
}

/// Sheets of one material and thickness.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SheetNeed {
    /// The material.
    pub material: String,
    /// Thickness, m.
    pub thickness_m: f64,
    /// Area of all pieces, m2.
    pub area_m2: f64,
    /// How many sheets; pieces between framing are counted whole, which is enough.
    pub sheets: usize,
    /// Share of the sheets that the pieces take, 0 to 1; 0 without a sheet.
    pub used_share: f64,
    /// Where each piece is cut from; pieces are numbered as in [`Build::pieces`], from 0. Those too large for a sheet must be joined.
    pub layout: Layout,
}

impl Build {
    /// The pieces of `hive`.
    #[must_use]
    pub fn new(hive: &Hive) -> Self {
        let cavity = &hive.cavity;
        let number = 2 * cavity.boxes;
        let mut pieces = Vec::new();
        let mut depth_m = 0.0;
        for (at, layer) in hive.wall.iter().enumerate() {
            let outside_m = depth_m + layer.thickness_m;
            for (part, length_m) in [
                ("front and back", cavity.width_m + 2.0 * outside_m),
                ("left and right", cavity.length_m + 2.0 * depth_m),
            ] {
                pieces.push(Pieces::new(
                    (part, at + 1),
                    layer,
                    (number, Some(2)),
                    (length_m, cavity.box_height_m),
                ));
            }
            depth_m = outside_m;
        }
        let plan_m = (
            cavity.length_m + 2.0 * depth_m,
            cavity.width_m + 2.0 * depth_m,
        );
        let covered = hive.floor.board().map_or(1.0, |(_, share)| share);
        for (build_up, share) in [(BuildUp::Lid, 1.0), (BuildUp::Floor, covered)] {
            for (at, layer) in build_up.layers(hive).iter().enumerate() {
                let size_m = (plan_m.0 * share, plan_m.1);
                pieces.push(Pieces::new(
                    (build_up.words(), at + 1),
                    layer,
                    (1, None),
                    size_m,
                ));
            }
        }
        Self { pieces }
    }

    /// Mass of the empty hive, kg: without frames and all that the module names.
    #[must_use]
    pub fn mass_kg(&self) -> f64 {
        let amounts = self.pieces.iter().flat_map(Pieces::amounts);
        amounts.map(|amount| amount.mass_kg).sum()
    }

    /// What is bought by volume or weight, and all framing, one line a material, in the order of use.
    #[must_use]
    pub fn loose_and_framing(&self) -> Vec<Amount> {
        let fillings = self.pieces.iter().map(|pieces| &pieces.filling);
        let loose = fillings.filter(|filling| filling.form == Form::Loose);
        let framing = self
            .pieces
            .iter()
            .filter_map(|pieces| pieces.framing.as_ref());
        let mut sums: Vec<Amount> = Vec::new();
        for amount in loose.chain(framing) {
            match sums.iter_mut().find(|sum| sum.material == amount.material) {
                None => sums.push(amount.clone()),
                Some(sum) => {
                    sum.area_m2 += amount.area_m2;
                    sum.volume_m3 += amount.volume_m3;
                    sum.mass_kg += amount.mass_kg;
                }
            }
        }
        sums
    }

    /// Sheets to buy, one line a material and thickness, in the order of use.
    #[must_use]
    pub fn sheets(&self, sheet: &Sheet) -> Vec<SheetNeed> {
        // Numbers in the list of pieces.
        let mut groups: Vec<Vec<usize>> = Vec::new();
        let of_sheets = |(_, pieces): &(usize, &Pieces)| pieces.filling.form == Form::Sheet;
        for (number, pieces) in self.pieces.iter().enumerate().filter(of_sheets) {
            let alike = |group: &&mut Vec<usize>| {
                let first = &self.pieces[group[0]];
                first.filling.material == pieces.filling.material
                    && (first.thickness_m - pieces.thickness_m).abs() < SAME_THICKNESS_M
            };
            match groups.iter_mut().find(alike) {
                None => groups.push(vec![number]),
                Some(group) => group.push(number),
            }
        }
        groups.iter().map(|group| self.need(group, sheet)).collect()
    }

    /// Sheets for the pieces of these numbers.
    fn need(&self, group: &[usize], sheet: &Sheet) -> SheetNeed {
        let area_m2 = |numbers: &[usize]| {
            let areas = numbers.iter().map(|number| self.pieces[*number].area_m2());
            areas.fold(0.0, |sum, area_m2| sum + area_m2)
        };
        let blanks = group.iter().map(|number| self.pieces[*number].blank());
        let mut layout = lay_out(&blanks.collect::<Vec<_>>(), sheet);
        for placed in layout.sheets.iter_mut().flatten() {
            placed.blank = group[placed.blank];
        }
        for large in &mut layout.too_large {
            *large = group[*large];
        }
        let whole_m2 = area_m2(group);
        let sheets_m2 = layout.sheets.len() as f64 * sheet.area_m2();
        let first = &self.pieces[group[0]];
        SheetNeed {
            material: first.filling.material.clone(),
            thickness_m: first.thickness_m,
            area_m2: whole_m2,
            sheets: layout.sheets.len(),
            used_share: if layout.sheets.is_empty() {
                0.0
            } else {
                (whole_m2 - area_m2(&layout.too_large)) / sheets_m2
            },
            layout,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::hive::{Cavity, Floor, Framing, ScreenState};
    use crate::material::find;
    use crate::scenario::built_in;
    use approx::assert_relative_eq;

    fn layer(name: &str, thickness_m: f64) -> Layer {
        Layer::new(find(name).unwrap().clone(), thickness_m)
    }

    /// One box of 400 by 500 by 200 mm.
    fn hive(wall: Vec<Layer>) -> Hive {
        let mut hive = built_in().hive;
        hive.cavity = Cavity {
            width_m: 0.4,
            length_m: 0.5,
            box_height_m: 0.2,
            boxes: 1,
        };
        hive.wall = wall;
        hive.lid = vec![layer("plywood", 0.01)];
        hive.floor = Floor::Solid(vec![layer("plywood", 0.01)]);
        hive
    }

    const SHEET: Sheet = Sheet {
        width_m: 1.22,
        length_m: 2.44,
        kerf_m: 0.003,
    };

    #[test]
    fn front_and_back_cover_the_corners_and_layers_grow_outward() {
        let build = Build::new(&hive(vec![layer("softwood", 0.02), layer("xps", 0.03)]));
        let mm = |edge_m: f64| (edge_m * 1e3).round() as u32;
        let sizes = build.pieces.iter().map(|pieces| {
            let (length_mm, width_mm) = (mm(pieces.length_m), mm(pieces.width_m));
            (pieces.part, pieces.number, length_mm, width_mm)
        });
        assert_eq!(
            sizes.collect::<Vec<_>>(),
            [
                ("front and back", 2, 440, 200),
                ("left and right", 2, 500, 200),
                ("front and back", 2, 500, 200),
                ("left and right", 2, 540, 200),
                ("lid", 1, 600, 500),
                ("floor", 1, 600, 500),
            ]
        );
    }

    #[test]
    fn the_sides_fill_the_ring_between_cavity_and_outer_plan() {
        let build = Build::new(&hive(vec![layer("softwood", 0.02), layer("xps", 0.03)]));
        let sides = build
            .pieces
            .iter()
            .filter(|part| part.number_a_box.is_some());
        let amounts = sides.flat_map(Pieces::amounts);
        let volume_m3: f64 = amounts.map(|amount| amount.volume_m3).sum();
        let ring_m2 = 0.5 * 0.6 - 0.4 * 0.5;
        assert_relative_eq!(volume_m3, ring_m2 * 0.2, max_relative = 1e-12);
    }

    /// Four pieces each of 413 x 244 and 465 x 244 mm of softwood 19 mm; lid and floor 503 x 413 mm. Softwood and plywood
    /// 500 kg/m3, wood-fibre board 250, steel 7800.
    #[test]
    fn the_mass_of_the_sample_is_the_sum_done_by_hand() {
        let sides_kg = 4.0 * (0.413 + 0.465) * 0.244 * 0.019 * 500.0;
        let lid_kg_m2 = 0.009 * 500.0 + 0.012 * 250.0 + 0.019 * 500.0 + 0.0005 * 7_800.0;
        let by_hand_kg = sides_kg + 0.503 * 0.413 * (lid_kg_m2 + 0.019 * 500.0);
        let mass_kg = Build::new(&built_in().hive).mass_kg();
        assert_relative_eq!(mass_kg, by_hand_kg, max_relative = 1e-12);
        assert!((mass_kg - 14.456).abs() < 1e-3, "{mass_kg}");
    }

    #[test]
    fn framing_and_filling_are_weighed_by_their_shares() {
        let mut straw = layer("straw", 0.08);
        straw.framing = Some(Framing {
            material: find("softwood").unwrap().clone(),
            share: 0.15,
        });
        let build = Build::new(&hive(vec![straw]));
        let [straw, softwood] = &build.loose_and_framing()[..] else {
            panic!("{build:?}");
        };
        // Two pieces each of 560 x 200 and 500 x 200 mm.
        let volume_m3 = 2.0 * (0.56 + 0.5) * 0.2 * 0.08;
        assert_eq!(straw.form, Form::Loose);
        assert_eq!(straw.material, "straw");
        assert_relative_eq!(straw.volume_m3, 0.85 * volume_m3, max_relative = 1e-12);
        let straw_kg = 0.85 * volume_m3 * 100.0;
        assert_relative_eq!(straw.mass_kg, straw_kg, max_relative = 1e-12);
        let softwood_kg = 0.15 * volume_m3 * 500.0;
        assert_eq!(softwood.material, "softwood");
        assert_relative_eq!(softwood.mass_kg, softwood_kg, max_relative = 1e-12);
    }

    #[test]
    fn a_closed_air_gap_weighs_nothing_and_is_not_bought() {
        let build = Build::new(&hive(vec![layer("softwood", 0.02), layer("air", 0.02)]));
        let gap = build.pieces.iter().filter(|pieces| pieces.layer == 2);
        assert!(gap.flat_map(Pieces::amounts).all(|air| air.mass_kg == 0.0));
        assert!(
            build
                .sheets(&SHEET)
                .iter()
                .all(|need| need.material != "air")
        );
        assert!(build.loose_and_framing().is_empty());
    }

    #[test]
    fn a_board_under_half_the_mesh_is_half_the_outer_plan() {
        let mut hive = hive(vec![layer("softwood", 0.02)]);
        let screened = |state| Floor::Screened {
            free_share: 0.6,
            state,
        };
        hive.floor = screened(ScreenState::Half(vec![layer("plywood", 0.006)]));
        let build = Build::new(&hive);
        let board = build.pieces.last().unwrap();
        assert_eq!(board.part, "floor");
        assert_relative_eq!(board.area_m2(), 0.5 * 0.54 * 0.44, max_relative = 1e-12);
        hive.floor = screened(ScreenState::Open);
        let open = Build::new(&hive);
        assert!(open.pieces.iter().all(|pieces| pieces.part != "floor"));
    }

    #[test]
    fn one_material_and_thickness_is_cut_from_the_same_sheets() {
        let build = Build::new(&hive(vec![layer("plywood", 0.01), layer("plywood", 0.012)]));
        let needs = build.sheets(&SHEET);
        let told = needs.iter().map(|need| (need.thickness_m, need.sheets));
        assert_eq!(told.collect::<Vec<_>>(), [(0.01, 1), (0.012, 1)]);
        // Inner layer, lid and floor.
        let placed = needs[0].layout.sheets.iter().flatten();
        let numbers: std::collections::BTreeSet<_> = placed.map(|placed| placed.blank).collect();
        assert_eq!(numbers.into_iter().collect::<Vec<_>>(), [0, 1, 4, 5]);
        let by_hand_m2 = 2.0 * (0.42 + 0.5) * 0.2 + 2.0 * 0.544 * 0.444;
        assert_relative_eq!(needs[0].area_m2, by_hand_m2, max_relative = 1e-12);
        let used = by_hand_m2 / SHEET.area_m2();
        assert_relative_eq!(needs[0].used_share, used, max_relative = 1e-12);
    }

    #[test]
    fn a_lid_larger_than_the_sheet_is_named_and_not_counted() {
        let build = Build::new(&hive(vec![layer("softwood", 0.02)]));
        let small = Sheet {
            width_m: 0.5,
            length_m: 0.5,
            kerf_m: 0.0,
        };
        let needs = build.sheets(&small);
        let plywood = needs
            .iter()
            .find(|need| need.material == "plywood")
            .unwrap();
        // Lid and floor of 540 x 440 mm, after the two sizes of the sides.
        assert_eq!(plywood.layout.too_large, [2, 3]);
        assert_eq!((plywood.sheets, plywood.used_share), (0, 0.0));
        assert_relative_eq!(plywood.area_m2, 2.0 * 0.54 * 0.44, max_relative = 1e-12);
    }
}
