//! A short hash of what a scenario means, however it is written.

use std::fmt::{Display, Write as _};
use std::path::Path;

use sha2::{Digest, Sha256};

use super::{Ensemble, Scenario, Season, SiteDescription, WeatherDescription, WeatherSource};
use crate::colony::{Feed, FeedKind, Placement};
use crate::ensemble::{ColonySpread, Override, OverrideValue, Sampling};
use crate::hive::{
    Alteration, Cavity, Change, Finish, Floor, Framing, Hive, Joints, Layer, Opening, ScreenState,
    Vent, When,
};
use crate::material::Material;
use crate::season::SnowBank;
use crate::weather::column_unit::ColumnUnit;
use crate::weather::layout::{ColumnMap, MappedColumn};

/// Changes when the canonical text changes its form.
const FORM: &str = "overwinter scenario 1";
/// Bytes of the hash that are kept; two hex digits each.
const BYTES: usize = 8;

/// Sixteen hex digits of the SHA-256 of a canonical text of all values that results depend on: not of names, titles, sources and
/// notes, nor of formatting, comments or units as written. Numbers count to twelve digits, so that "19 mm" is "1.9 cm".
/// Weather files count by their paths from the scenario's folder, not by their content.
pub(super) fn fingerprint(scenario: &Scenario) -> String {
    let mut text = Canonical::default();
    // Every struct is taken apart whole, so that a new field cannot be forgotten here.
    let Scenario {
        name: _,
        path,
        site,
        weather,
        season,
        hive,
        colony,
        overrides,
        ensemble,
        // What things cost changes no result of a run.
        prices: _,
        fingerprint: _,
    } = scenario;
    text.word("form", FORM);
    text.site(site);
    text.weather(weather, path.as_deref().and_then(Path::parent));
    text.season(season);
    text.hive(hive);
    text.colony(colony);
    overrides.iter().for_each(|set| text.parameter(set));
    let Ensemble {
        members,
        seed,
        sampling,
        shared_sets,
    } = ensemble;
    text.word("members", members);
    text.word("seed", seed);
    text.word("shared_sets", shared_sets);
    // Without it the text is as it was before it could be given.
    if *sampling == Sampling::Sobol {
        text.word("draws", "sobol");
    }
    let hash = Sha256::digest(text.0.as_bytes());
    hash.iter()
        .take(BYTES)
        .fold(String::new(), |hex, byte| hex + &format!("{byte:02x}"))
}

#[derive(Default)]
struct Canonical(String);

impl Canonical {
    fn word(&mut self, key: &str, value: impl Display) {
        // Writing into a String cannot fail.
        let _ = writeln!(self.0, "{key} {value}");
    }

    fn number(&mut self, key: &str, value: f64) {
        // -0 is 0.
        self.word(key, format_args!("{:.11e}", value + 0.0));
    }

    fn maybe(&mut self, key: &str, value: Option<f64>) {
        match value {
            Some(value) => self.number(key, value),
            None => self.word(key, "none"),
        }
    }

    fn site(&mut self, site: &SiteDescription) {
        let SiteDescription {
            name: _,
            latitude_deg,
            longitude_deg,
            elevation_m,
            utc_offset_h,
            shelter,
            shelter_words: _,
            snow,
            snow_bank,
        } = site;
        self.number("latitude", *latitude_deg);
        self.maybe("longitude", *longitude_deg);
        self.maybe("elevation", *elevation_m);
        self.maybe("utc_offset", *utc_offset_h);
        self.number("shelter", *shelter);
        for day in snow.iter().flatten() {
            self.word("snow", day);
        }
        match snow_bank {
            None => {}
            Some(SnowBank::OnDays(height_m)) => self.number("snow_bank", *height_m),
            Some(SnowBank::FromWeather) => self.word("snow_bank", "weather"),
        }
    }

    fn weather(&mut self, weather: &WeatherDescription, folder: Option<&Path>) {
        let WeatherDescription {
            source,
            resample,
            warming_k,
        } = weather;
        match source {
            WeatherSource::Sample => self.word("weather", "sample"),
            WeatherSource::Files {
                paths,
                station,
                columns,
            } => {
                for path in paths {
                    let path = folder
                        .and_then(|folder| path.strip_prefix(folder).ok())
                        .unwrap_or(path);
                    self.word(
                        "weather file",
                        format_args!("{:?}", path.to_string_lossy().replace('\\', "/")),
                    );
                }
                self.word("station", format_args!("{station:?}"));
                if let Some(columns) = columns {
                    self.columns(columns);
                }
            }
        }
        // Without them the text is as it was before they could be given, and so are fingerprints.
        if let Some(count) = resample {
            self.word("resample", count);
        }
        if *warming_k != 0.0 {
            self.number("warming", *warming_k);
        }
    }

    fn columns(&mut self, map: &ColumnMap) {
        let ColumnMap {
            delimiter,
            skip_lines,
            header,
            decimal_comma,
            missing,
            utc_offset_h,
            radiation,
            time,
            station,
            columns,
        } = map;
        self.word("delimiter", format_args!("{delimiter:?}"));
        self.word("skip_lines", skip_lines);
        self.word("header", header);
        self.word("decimal_comma", decimal_comma);
        missing
            .iter()
            .for_each(|code| self.number("missing", *code));
        self.maybe("stamps ahead", *utc_offset_h);
        self.word("radiation", format_args!("{radiation:?}"));
        self.word("time", format_args!("{time:?}"));
        self.word("station column", format_args!("{station:?}"));
        for (quantity, MappedColumn { column, unit }) in columns {
            self.word(quantity.name(), format_args!("{column:?}"));
            // One unit has several spellings.
            let name = ColumnUnit::named(*quantity, unit).map(|unit| unit.name);
            self.word("unit", name.unwrap_or(unit));
        }
    }

    fn season(&mut self, season: &Season) {
        let Season {
            start,
            first_forage,
        } = season;
        self.word("start", start);
        self.word("first_forage", first_forage);
    }

    fn hive(&mut self, hive: &Hive) {
        let Hive {
            name: _,
            cavity,
            frames,
            comb_pitch_m,
            faces_deg,
            wall,
            lid,
            floor,
            entrances,
            upper_entrances,
            vents,
            joints,
            tare_kg,
            shared_sides,
            shaded_sides,
            side_finish,
            lid_finish,
            changes,
        } = hive;
        let Cavity {
            width_m,
            length_m,
            box_height_m,
            boxes,
        } = cavity;
        self.number("width", *width_m);
        self.number("length", *length_m);
        self.number("box_height", *box_height_m);
        self.word("boxes", boxes);
        self.word("frames", frames);
        self.number("comb_pitch", *comb_pitch_m);
        self.number("faces", *faces_deg);
        self.layers("wall", wall);
        self.layers("lid", lid);
        self.floor(floor);
        self.entrances(entrances);
        for entrance in upper_entrances {
            self.opening("upper entrance", entrance);
        }
        self.vents(vents);
        // Said only where they differ from what a scenario has that does not speak of them.
        if *joints != Joints::default() {
            self.word("joints", format_args!("{joints:?}"));
        }
        if tare_kg.is_some() {
            self.maybe("tare", *tare_kg);
        }
        for side in shared_sides {
            self.number("shared", side.turn_deg());
        }
        for side in shaded_sides {
            self.number("shaded", side.turn_deg());
        }
        self.finish("sides", side_finish);
        self.finish("lid", lid_finish);
        changes.iter().for_each(|change| self.change(change));
    }

    fn change(&mut self, change: &Change) {
        let Change { when, what } = change;
        let When {
            from,
            until,
            below_c,
            above_c,
        } = when;
        self.word("change from", format_args!("{from:?}"));
        self.word("until", format_args!("{until:?}"));
        self.maybe("below", *below_c);
        self.maybe("above", *above_c);
        let Alteration {
            wrap,
            lid,
            floor,
            vents,
            entrances,
            side_finish,
            lid_finish,
        } = what;
        if let Some(wrap) = wrap {
            self.layers("changed wrap", wrap);
        }
        if let Some(lid) = lid {
            self.layers("changed lid", lid);
        }
        if let Some(floor) = floor {
            self.word("changed", "floor");
            self.floor(floor);
        }
        if let Some(vents) = vents {
            self.word("changed", "vents");
            self.vents(vents);
        }
        if let Some(entrances) = entrances {
            self.word("changed", "entrances");
            self.entrances(entrances);
        }
        if let Some(finish) = side_finish {
            self.finish("changed sides", finish);
        }
        if let Some(finish) = lid_finish {
            self.finish("changed lid", finish);
        }
    }

    fn floor(&mut self, floor: &Floor) {
        match floor {
            Floor::Solid(layers) => self.layers("floor", layers),
            Floor::Screened { free_share, state } => {
                self.number("mesh", *free_share);
                match state {
                    ScreenState::Open => self.word("board", "none"),
                    ScreenState::Half(board) => self.layers("half board", board),
                    ScreenState::Closed(board) => self.layers("board", board),
                }
            }
        }
    }

    fn entrances(&mut self, entrances: &[Opening]) {
        entrances
            .iter()
            .for_each(|entrance| self.opening("entrance", entrance));
    }

    fn vents(&mut self, vents: &[Vent]) {
        for Vent { opening, corked } in vents {
            self.opening("vent", opening);
            self.word("corked", corked);
        }
    }

    fn finish(&mut self, key: &str, finish: &Finish) {
        let Finish {
            absorptance,
            emissivity,
        } = finish;
        self.number(key, *absorptance);
        self.number("emissivity", *emissivity);
    }

    fn layers(&mut self, key: &str, layers: &[Layer]) {
        for Layer {
            material,
            thickness_m,
            framing,
        } in layers
        {
            self.material(key, material);
            self.number("thickness", *thickness_m);
            if let Some(Framing { material, share }) = framing {
                self.material("framing", material);
                self.number("share", *share);
            }
        }
    }

    fn material(&mut self, key: &str, material: &Material) {
        self.word(key, &material.name);
        self.number("conductivity", material.conductivity_w_mk);
        self.number("density", material.density_kg_m3);
        self.number("specific_heat", material.specific_heat_j_kgk);
        self.maybe("vapour dry", material.vapour_factor_dry);
        self.maybe("vapour wet", material.vapour_factor_wet);
        self.number("sorption", material.sorption);
    }

    fn opening(&mut self, key: &str, opening: &Opening) {
        let Opening { width_m, height_m } = opening;
        self.number(key, *width_m);
        self.number("height", *height_m);
    }

    fn colony(&mut self, colony: &ColonySpread) {
        let ColonySpread {
            bees,
            bees_spread,
            stores_kg,
            stores_spread_kg,
            placement,
            feeds,
        } = colony;
        self.number("bees", *bees);
        self.number("bees_spread", *bees_spread);
        self.number("stores", *stores_kg);
        self.number("stores_spread", *stores_spread_kg);
        self.placement(placement);
        for feed in feeds {
            self.feed(feed);
        }
    }

    /// Only what is given counts, so that a scenario that says nothing of it keeps its fingerprint.
    fn placement(&mut self, placement: &Placement) {
        let Placement {
            boxes,
            seams,
            cluster_box,
            cluster_seam,
        } = placement;
        for share in boxes {
            self.number("stores box", *share);
        }
        for share in seams {
            self.number("stores seam", *share);
        }
        if let Some(number) = cluster_box {
            self.number("cluster box", f64::from(*number));
        }
        if let Some(seam) = cluster_seam {
            self.number("cluster seam", *seam);
        }
    }

    fn feed(&mut self, feed: &Feed) {
        let Feed {
            on: (month, day),
            kind,
            kg,
        } = feed;
        let sugar_share = match kind {
            FeedKind::Fondant => -1.0,
            FeedKind::Sugar => 1.0,
            FeedKind::Syrup { sugar_share } => *sugar_share,
        };
        self.number("feed month", f64::from(*month));
        self.number("day", f64::from(*day));
        self.number("sugar share", sugar_share);
        self.number("kg", *kg);
    }

    fn parameter(&mut self, set: &Override) {
        let name = set.parameter().name;
        match set.value {
            OverrideValue::Fixed(value) => self.number(name, value),
            OverrideValue::Range { low, mode, high } => {
                self.number(name, low);
                self.number("mode", mode);
                self.number("high", high);
            }
        }
    }
}
