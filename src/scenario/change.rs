//! What a keeper changes on the hive in the course of a winter: `[[hive.change]]`.

use super::error::{Problem, ScenarioError};
use super::field::Field;
use super::hive::{entrances, finish, vents};
use super::layer::{floor, layers, lid};
use super::season::{MonthDay, Season, day};
use super::table::{Table, nearest};
use crate::hive::{
    Alteration, Change, Floor, Hive, InForce, MOST_CHANGES, ScreenState, Vent, When,
};
use crate::material::Catalogue;
use crate::units::Dimension;

const EXAMPLE: &str =
    "[[hive.change]] with, below it, from = \"15 November\" and wrap = [\"38 mm xps\"]";
const CONDITIONS: &str = "at least one of from, until, below, above: when it holds, as from = \"15 November\" or below = \"5 °C\"";
const EFFECTS: &str = "at least one of wrap, lid, floor, vents, entrance, colour, lid_colour: what is then otherwise, as floor = \"closed\"";
/// Coldest and warmest mean on which a change may depend.
const DEGREES: (&str, &str) = ("-50 °C", "40 °C");

/// How a floor's mesh is set in one word.
#[derive(Clone, Copy)]
enum Screen {
    Open,
    Half,
    Closed,
}

const SCREENS: [(&str, Screen); 3] = [
    ("open", Screen::Open),
    ("half", Screen::Half),
    ("closed", Screen::Closed),
];
/// All vents in one word; whether that corks them.
const CORKS: [(&str, bool); 2] = [("corked", true), ("open", false)];

/// The changes of a `[hive]` whose other keys made `hive`.
pub(super) fn changes(
    section: &Field<'_>,
    hive: &Hive,
    season: &Season,
    catalogue: &Catalogue,
) -> Result<Vec<Change>, ScenarioError> {
    let Some(field) = section.open_table("[hive]")?.get("change") else {
        return Ok(Vec::new());
    };
    let list = field.one_or_list(EXAMPLE)?;
    if list.len() > MOST_CHANGES {
        return Err(field.error(Problem::Together(format!(
            "{} changes are more than the {MOST_CHANGES} that a hive may have",
            list.len()
        ))));
    }
    let read = |field: &Field<'_>| change(field, hive, season, catalogue);
    list.iter().map(read).collect()
}

fn change(
    field: &Field<'_>,
    hive: &Hive,
    season: &Season,
    catalogue: &Catalogue,
) -> Result<Change, ScenarioError> {
    let keys = [
        "from",
        "until",
        "below",
        "above",
        "wrap",
        "lid",
        "floor",
        "vents",
        "entrance",
        "colour",
        "lid_colour",
    ];
    let table = field.table(&keys, EXAMPLE)?;
    let change = Change {
        when: when(&table, season)?,
        what: alteration(&table, hive, catalogue)?,
    };
    // What no key shows by itself, as an entrance wider than the hive, is found on the hive with this change alone.
    let hive = Hive {
        changes: vec![change.clone()],
        ..hive.clone()
    };
    let altered = hive.altered(InForce::from_iter([0]));
    altered.validate().map_err(|e| table.error(e.into()))?;
    Ok(change)
}

fn when(table: &Table<'_>, season: &Season) -> Result<When, ScenarioError> {
    let date = |key| table.get(key).map(|field| day(&field)).transpose();
    let degrees = |key| {
        let (low, high) = DEGREES;
        let read = |field: Field<'_>| field.quantity(Dimension::Temperature, low, high);
        table.get(key).map(read).transpose()
    };
    let pair = |day: MonthDay| (day.month, day.day);
    let (from, until) = (date("from")?, date("until")?);
    let when = When {
        from: from.map(pair),
        until: until.map(pair),
        below_c: degrees("below")?,
        above_c: degrees("above")?,
    };
    let together = |why: String| Err(table.error(Problem::Together(why)));
    if when == When::default() {
        return together(format!("has no condition; give {CONDITIONS}"));
    }
    if let (Some(above), Some(below)) = (table.get("above"), table.get("below"))
        && when.above_c >= when.below_c
    {
        return together(format!(
            "above = {} and below = {} never hold together; above must be the lower of the two",
            above.written(),
            below.written()
        ));
    }
    if from.is_some() && from == until {
        return together(
            "from and until are the same day; until is the day on which the change is undone"
                .to_owned(),
        );
    }
    if !season.dates().any(|day| when.on_day(pair(day))) {
        let words = |word: &str, day: Option<MonthDay>| {
            day.map_or_else(String::new, |day| format!("{word} {day} "))
        };
        return together(format!(
            "{}{}never holds in a winter from {} to {}; give dates within it",
            words("from", from),
            words("until", until),
            season.start,
            season.first_forage
        ));
    }
    Ok(when)
}

fn alteration(
    table: &Table<'_>,
    hive: &Hive,
    catalogue: &Catalogue,
) -> Result<Alteration, ScenarioError> {
    let given = |key| table.get(key);
    let wrap = given("wrap").map(|field| layers(&field, catalogue));
    let lid = given("lid").map(|field| lid(&field, catalogue));
    let what = Alteration {
        wrap: wrap.transpose()?,
        lid: lid.transpose()?,
        floor: given("floor")
            .map(|field| altered_floor(&field, &hive.floor, catalogue))
            .transpose()?,
        vents: given("vents")
            .map(|field| altered_vents(&field, table, &hive.vents))
            .transpose()?,
        entrances: given("entrance").map(|_| entrances(table)).transpose()?,
        side_finish: given("colour")
            .map(|_| finish(table, "colour"))
            .transpose()?,
        lid_finish: given("lid_colour")
            .map(|_| finish(table, "lid_colour"))
            .transpose()?,
    };
    if what == Alteration::default() {
        return Err(table.error(Problem::Together(format!(
            "changes nothing; give {EFFECTS}"
        ))));
    }
    Ok(what)
}

/// "open", "half" or "closed" of the hive's own screened floor, or another floor.
fn altered_floor(
    field: &Field<'_>,
    own: &Floor,
    catalogue: &Catalogue,
) -> Result<Floor, ScenarioError> {
    let screen = match field.is_text().then(|| field.choice(&SCREENS)) {
        None => return floor(field, catalogue),
        Some(Ok(screen)) => screen,
        // A text may be a layer in short too; what is nearly a word was meant as one.
        Some(Err(no_word)) => {
            let alike = nearest(&field.written(), SCREENS.iter().map(|(word, _)| *word));
            let other = floor(field, catalogue);
            return other.map_err(|no_floor| if alike.is_some() { no_word } else { no_floor });
        }
    };
    let Floor::Screened { free_share, .. } = own else {
        return Err(field.error(Problem::Together(format!(
            "{} is of a screened floor, and the floor of this hive is solid; give the layers of another floor, or make the hive's own \
             floor = {{ screened = \"open\" }}",
            field.written()
        ))));
    };
    let board = || {
        match own.board() {
        Some((board, _)) => Ok(board.to_vec()),
        None => Err(field.error(Problem::Together(format!(
            "{} needs a board, and the hive's own floor is open without one; name it here, as floor = {{ screened = \"closed\", board = \
             [\"6 mm plywood\"] }}",
            field.written()
        )))),
    }
    };
    Ok(Floor::Screened {
        free_share: *free_share,
        state: match screen {
            Screen::Open => ScreenState::Open,
            Screen::Half => ScreenState::Half(board()?),
            Screen::Closed => ScreenState::Closed(board()?),
        },
    })
}

/// "corked" or "open": the hive's own vents, all of them; or other vents.
fn altered_vents(
    field: &Field<'_>,
    table: &Table<'_>,
    own: &[Vent],
) -> Result<Vec<Vent>, ScenarioError> {
    if !field.is_text() {
        return vents(table);
    }
    let corked = field.choice(&CORKS)?;
    if own.is_empty() {
        return Err(field.error(Problem::Together(format!(
            "{} is of vents, and the hive has none; give it vents = [{{ diameter = \"20 mm\", corked = true }}]",
            field.written()
        ))));
    }
    let set = |vent: &Vent| Vent { corked, ..*vent };
    Ok(own.iter().map(set).collect())
}
