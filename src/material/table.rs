//! The one table of materials.
//!
//! Sources, and how far each was read:
//! - *ISO 10456:2007* tables 3 and 4 (design values), from memory.
//! - *ASHRAE Fundamentals 2005*, chapter 25 (typical thermal properties), read.
//! - *Granum 1951*: wood shavings by density, read.
//! - "Building tables": ranges as makers and national tables give them, from memory.
//!
//! Sorption is a share of what wood takes from the same air: 1 for wood, straw and shavings about as much, wool more, cork and
//! resin-bound board less (ISO 12571 data and textbooks, from memory; own estimates).
//!
//! Where a row gives a range without a preferred value, the value used is near its middle and the note says so
//! if another value is as good. Vapour factors are dry/wet cup.

use std::borrow::Cow;

use super::properties::Material;
use crate::source::Mark::{self, FromMemory, Published};

const ISO_10456: &str = "ISO 10456:2007";
const ASHRAE: &str = "ASHRAE Fundamentals 2005, ch. 25";
const GRANUM: &str = "Granum 1951";
const BUILDING_TABLES: &str = "building tables";
/// ISO 10456 gives metals an infinite factor.
const TIGHT: Option<[f64; 2]> = Some([1e6, 1e6]);

/// A value, and the lowest and highest in the sources.
type Spread = [f64; 3];

const fn one(value: f64) -> Spread {
    [value, value, value]
}

/// Name and title; other names; W/mK; kg/m3; J/kgK; vapour factor dry and wet; sorption; mark, source, note.
const fn row(
    [name, title]: [&'static str; 2],
    aliases: &'static [&'static str],
    conductivity: Spread,
    density: Spread,
    specific_heat: Spread,
    (vapour, sorption): (Option<[f64; 2]>, f64),
    (mark, source, note): (Mark, &'static str, &'static str),
) -> Material {
    let (vapour_factor_dry, vapour_factor_wet) = match vapour {
        Some([dry, wet]) => (Some(dry), Some(wet)),
        None => (None, None),
    };
    Material {
        name: Cow::Borrowed(name),
        title: Cow::Borrowed(title),
        aliases,
        conductivity_w_mk: conductivity[0],
        conductivity_range_w_mk: (conductivity[1], conductivity[2]),
        density_kg_m3: density[0],
        density_range_kg_m3: (density[1], density[2]),
        specific_heat_j_kgk: specific_heat[0],
        specific_heat_range_j_kgk: (specific_heat[1], specific_heat[2]),
        vapour_factor_dry,
        vapour_factor_wet,
        sorption,
        source: Cow::Borrowed(source),
        mark,
        note: Cow::Borrowed(note),
    }
}

#[rustfmt::skip]
static TABLE: [Material; 29] = [
    row(["softwood", "Softwood (pine, spruce, fir)"], &["pine", "spruce", "fir", "cedar", "larch", "wood", "timber"],
        [0.13, 0.12, 0.13], [500.0, 450.0, 500.0], one(1_600.0), (Some([50.0, 20.0]), 1.0),
        (FromMemory, ISO_10456, "0.12 at 450 kg/m3, 0.13 at 500; across the grain")),
    row(["plywood", "Plywood"], &["ply"],
        [0.13, 0.12, 0.13], [500.0, 500.0, 544.0], [1_600.0, 1_210.0, 1_600.0], (Some([200.0, 70.0]), 1.0),
        (FromMemory, ISO_10456, "ASHRAE Fundamentals 2005 (read): 0.12 at 544 kg/m3, 1210 J/kgK")),
    row(["xps", "Extruded polystyrene board (XPS)"], &["extruded-polystyrene", "xps-foam"],
        [0.034, 0.029, 0.042], [35.0, 30.0, 55.0], one(1_450.0), (Some([150.0, 150.0]), 0.0),
        (FromMemory, BUILDING_TABLES, "board sold as R-5 per inch is 0.029; ageing raises it")),
    row(["eps", "Expanded polystyrene board (EPS)"], &["expanded-polystyrene", "eps-foam"],
        [0.036, 0.033, 0.037], [20.0, 16.0, 32.0], one(1_450.0), (Some([60.0, 60.0]), 0.0),
        (Published, ASHRAE, "0.037 at 16 kg/m3, 0.036 at 20, 0.035 at 24, 0.033 at 32; heat capacity and vapour factor: ISO 10456 from memory")),
    row(["pur", "Polyurethane or polyisocyanurate foam (PUR, PIR)"], &["pir", "polyurethane", "polyisocyanurate", "polyiso", "pur-foam", "pir-foam"],
        [0.028, 0.025, 0.030], [35.0, 30.0, 45.0], one(1_400.0), (Some([60.0, 60.0]), 0.0),
        (FromMemory, BUILDING_TABLES, "without its facing; a foil facing is vapour-tight")),
    row(["mineral-wool", "Mineral wool (rock or glass)"], &["rock-wool", "rockwool", "glass-wool", "fibreglass", "fiberglass"],
        [0.037, 0.035, 0.048], [50.0, 20.0, 200.0], one(1_030.0), (Some([1.0, 1.0]), 0.0),
        (FromMemory, BUILDING_TABLES, "must stay dry and out of the wind")),
    row(["shavings", "Wood shavings, settled"], &["wood-shavings", "planer-shavings"],
        [0.080, 0.042, 0.120], [130.0, 80.0, 180.0], one(2_000.0), (Some([2.0, 2.0]), 1.0),
        (Published, GRANUM, "0.070 at 150 kg/m3; other tables 0.042-0.12, damp ones more; heat capacity and vapour factor: own estimate")),
    row(["shavings-loose", "Wood shavings, loose"], &[],
        [0.120, 0.042, 0.120], one(80.0), one(2_000.0), (Some([2.0, 2.0]), 1.0),
        (Published, GRANUM, "air moves between loose shavings; heat capacity and vapour factor: own estimate")),
    row(["shavings-packed", "Wood shavings, packed"], &[],
        [0.060, 0.042, 0.120], one(180.0), one(2_000.0), (Some([2.0, 2.0]), 1.0),
        (Published, GRANUM, "heat capacity and vapour factor: own estimate")),
    row(["sawdust", "Sawdust"], &[],
        [0.071, 0.071, 0.081], [120.0, 120.0, 200.0], one(2_000.0), (Some([2.0, 2.0]), 1.0),
        (FromMemory, BUILDING_TABLES, "0.071 at 120 kg/m3, 0.081 at 200; heat capacity and vapour factor: own estimate, as shavings")),
    row(["straw", "Straw"], &["straw-bale"],
        [0.055, 0.045, 0.070], one(100.0), one(2_000.0), (Some([2.0, 2.0]), 1.1),
        (FromMemory, BUILDING_TABLES, "the lower value across the stalks; vapour factor: own estimate")),
    row(["cork", "Cork board"], &["expanded-cork"],
        [0.042, 0.037, 0.047], [150.0, 110.0, 200.0], one(1_560.0), (Some([10.0, 5.0]), 0.3),
        (FromMemory, BUILDING_TABLES, "vapour factor: ISO 10456, from memory")),
    row(["wood-fibre-board", "Wood-fibre board, soft"], &["wood-fiber-board", "fibreboard", "fiberboard", "softboard", "wood-fibre"],
        one(0.07), one(250.0), one(1_700.0), (Some([5.0, 3.0]), 0.9),
        (FromMemory, ISO_10456, "250 kg/m3")),
    row(["wood-fibre-board-400", "Wood-fibre board, medium"], &["wood-fiber-board-400"],
        one(0.10), one(400.0), one(1_700.0), (Some([10.0, 5.0]), 0.9),
        (FromMemory, ISO_10456, "400 kg/m3")),
    row(["wood-fibre-board-600", "Wood-fibre board, hard (MDF)"], &["wood-fiber-board-600", "mdf"],
        one(0.14), one(600.0), one(1_700.0), (Some([20.0, 12.0]), 0.8),
        (FromMemory, ISO_10456, "600 kg/m3")),
    row(["corrugated-card", "Corrugated cardboard"], &["cardboard", "corrugated-cardboard"],
        [0.06, 0.05, 0.07], [125.0, 100.0, 150.0], one(1_400.0), (Some([20.0, 10.0]), 0.8),
        (FromMemory, BUILDING_TABLES, "dry; loses its shape when wet; vapour factor: own estimate")),
    row(["sheep-wool", "Sheep's wool"], &["sheeps-wool"],
        [0.040, 0.035, 0.045], [20.0, 15.0, 30.0], one(1_700.0), (Some([1.0, 1.0]), 1.4),
        (FromMemory, BUILDING_TABLES, "vapour factor: own estimate, as mineral wool")),
    row(["cotton-cloth", "Cotton or burlap cloth"], &["cotton", "canvas", "burlap", "hessian", "jute", "cloth"],
        [0.060, 0.040, 0.080], [400.0, 250.0, 500.0], one(1_300.0), (Some([2.0, 2.0]), 0.7),
        (FromMemory, "textile handbooks", "woven, dry; too thin to insulate; density and vapour factor: own estimate, open weave without wax or propolis")),
    row(["steel", "Steel"], &["galvanised-steel", "galvanized-steel"],
        one(50.0), one(7_800.0), one(450.0), (TIGHT, 0.0),
        (FromMemory, ISO_10456, "vapour factor infinite in the source")),
    row(["aluminium", "Aluminium"], &["aluminum"],
        one(160.0), one(2_800.0), one(880.0), (TIGHT, 0.0),
        (FromMemory, ISO_10456, "alloys; vapour factor infinite in the source")),
    row(["bitumen-felt", "Bitumen felt"], &["roofing-felt", "tar-paper"],
        one(0.23), one(1_100.0), one(1_000.0), (Some([50_000.0, 50_000.0]), 0.0),
        (FromMemory, ISO_10456, "")),
    row(["snow-fresh", "Snow, fresh"], &[],
        one(0.05), one(100.0), one(2_000.0), (Some([1.5, 1.5]), 0.0),
        (FromMemory, ISO_10456, "heat capacity of ice, rounded; vapour factor: own estimate")),
    row(["snow", "Snow, settled"], &["snow-settled"],
        [0.12, 0.05, 0.23], [200.0, 100.0, 300.0], one(2_000.0), (Some([2.0, 2.0]), 0.0),
        (FromMemory, ISO_10456, "heat capacity of ice, rounded; vapour factor: own estimate")),
    row(["snow-old", "Snow, old and dense"], &[],
        one(0.23), one(300.0), one(2_000.0), (Some([3.0, 3.0]), 0.0),
        (FromMemory, ISO_10456, "heat capacity of ice, rounded; vapour factor: own estimate")),
    row(["honey", "Honey"], &[],
        [0.53, 0.50, 0.56], one(1_425.0), [2_300.0, 2_200.0, 2_400.0], (None, 0.0),
        (FromMemory, "food engineering tables", "about 17 % water")),
    row(["beeswax", "Beeswax"], &["wax"],
        one(0.25), one(960.0), [2_250.0, 2_000.0, 2_500.0], (None, 0.0),
        (FromMemory, "food engineering tables", "")),
    row(["air", "Air in a closed gap"], &["air-gap", "air-space", "still-air"],
        one(0.025), one(1.2), one(1_006.0), (Some([1.0, 1.0]), 0.0),
        (FromMemory, "ISO 6946:2017, annex D", "the conductivity is that of air at rest; a layer of it takes the resistance of an unventilated gap by its thickness and the direction of heat")),
    row(["vented-air", "Air in a gap open to the outside"], &["vented-gap", "ventilated-air", "vented-air-gap"],
        one(0.025), one(1.2), one(1_006.0), (Some([1.0, 1.0]), 0.0),
        (FromMemory, "ISO 6946:2017, annex D", "as air for heat, which is right while it is little vented (ISO 6946: up to 1,500 mm2 a metre); vapour leaves the hive there, past what lies outside of it")),
    row(["paint", "Oil or alkyd paint, two coats"], &["oil-paint", "varnish"],
        one(0.20), one(1_300.0), one(1_500.0), (Some([10_000.0, 10_000.0]), 0.0),
        (FromMemory, BUILDING_TABLES, "0.1 mm resists vapour as 1 m of still air; makers give 0.1 to 3 m")),
];

/// All materials of the table, in the order in which they are listed to users.
pub fn table() -> &'static [Material] {
    &TABLE
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::HashSet;

    #[test]
    fn every_row_is_valid_and_names_its_source() {
        for material in table() {
            assert_eq!(material.validate(), Ok(()));
            assert!(
                !material.source.is_empty() && !material.title.is_empty(),
                "{}",
                material.name
            );
        }
    }

    #[test]
    fn no_name_or_alias_stands_for_two_materials() {
        let mut seen = HashSet::new();
        for material in table() {
            for name in
                std::iter::once(material.name.as_ref()).chain(material.aliases.iter().copied())
            {
                assert!(seen.insert(name), "{name}");
            }
        }
    }

    #[test]
    fn damp_material_lets_no_less_vapour_through_than_dry() {
        for material in table() {
            assert!(
                material.vapour_factor_wet <= material.vapour_factor_dry,
                "{}",
                material.name
            );
        }
    }
}
