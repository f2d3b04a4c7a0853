//! Finding a material by name: those of the table and those of a scenario.

use super::error::MaterialError;
use super::properties::Material;
use super::table::table;

/// The material of the table with this name or alias. Capitals, blanks and underscores do not matter:
/// "Wood fibre board" is "wood-fibre-board".
///
/// # Errors
/// [`MaterialError::Unknown`] with up to three names that are alike.
pub fn find(name: &str) -> Result<&'static Material, MaterialError> {
    among(table(), name).ok_or_else(|| unknown(name, table().iter()))
}

/// The materials of the table together with those that a scenario defines.
#[derive(Debug, Clone, Default)]
pub struct Catalogue {
    defined: Vec<Material>,
}

impl Catalogue {
    /// Adds materials to those of the table, none of which can be replaced.
    ///
    /// # Errors
    /// What [`Material::validate`] finds, or [`MaterialError::Taken`] for a name that is used already.
    pub fn with(defined: Vec<Material>) -> Result<Catalogue, MaterialError> {
        for (at, material) in defined.iter().enumerate() {
            material.validate()?;
            let in_table = among(table(), &material.name).is_some();
            if in_table || among(&defined[..at], &material.name).is_some() {
                return Err(MaterialError::Taken {
                    name: material.name.to_string(),
                    in_table,
                });
            }
        }
        Ok(Catalogue { defined })
    }

    /// Like [`find`], with the user's materials as well.
    ///
    /// # Errors
    /// [`MaterialError::Unknown`] with up to three names that are alike.
    pub fn find(&self, name: &str) -> Result<&Material, MaterialError> {
        among(&self.defined, name)
            .or_else(|| among(table(), name))
            .ok_or_else(|| unknown(name, self.all()))
    }

    /// The user's materials, then those of the table.
    pub fn all(&self) -> impl Iterator<Item = &Material> {
        self.defined.iter().chain(table())
    }
}

fn among<'m>(materials: &'m [Material], name: &str) -> Option<&'m Material> {
    let name = plain(name);
    materials
        .iter()
        .find(|material| material.name == name || material.aliases.contains(&name.as_str()))
}

fn plain(name: &str) -> String {
    let words: Vec<_> = name
        .split(|c: char| c.is_whitespace() || matches!(c, '_' | '-'))
        .filter(|word| !word.is_empty())
        .collect();
    words.join("-").to_lowercase()
}

fn unknown<'m>(name: &str, materials: impl Iterator<Item = &'m Material>) -> MaterialError {
    const LONGEST: usize = 40;
    const ALIKE: f64 = 0.7;
    let typed = plain(name);
    let mut ranked: Vec<(f64, &str)> = materials
        .map(|material| {
            let spellings =
                std::iter::once(material.name.as_ref()).chain(material.aliases.iter().copied());
            let likeness = spellings
                .map(|spelling| likeness(&typed, spelling))
                .fold(0.0, f64::max);
            (likeness, material.name.as_ref())
        })
        .filter(|(likeness, _)| *likeness > ALIKE)
        .collect();
    ranked.sort_by(|a, b| b.0.total_cmp(&a.0));
    let nearest = ranked
        .into_iter()
        .take(3)
        .map(|(_, name)| name.to_owned())
        .collect();
    MaterialError::Unknown {
        name: name.trim().chars().take(LONGEST).collect(),
        nearest,
    }
}

/// Alike by letters, or by a word in common: "wool" is like "mineral-wool".
fn likeness(typed: &str, spelling: &str) -> f64 {
    const WORD_IN_COMMON: f64 = 0.9;
    let common = typed
        .split('-')
        .any(|word| word.len() > 2 && spelling.split('-').any(|other| other == word));
    strsim::jaro_winkler(typed, spelling).max(if common { WORD_IN_COMMON } else { 0.0 })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_material_is_found_by_name_or_alias_however_it_is_spaced() {
        for name in [
            "wood-fibre-board",
            "Wood fibre board",
            " wood_fibre_board ",
            "fiberboard",
        ] {
            assert_eq!(
                find(name).map(|material| material.name.as_ref()),
                Ok("wood-fibre-board"),
                "{name}"
            );
        }
    }

    #[test]
    fn an_unknown_material_is_answered_with_the_nearest_names() {
        let message = find("shavngs").unwrap_err().to_string();
        assert!(
            message.starts_with("unknown material 'shavngs'; nearest: 'shavings'"),
            "{message}"
        );
        let nearest = |name| match find(name) {
            Err(MaterialError::Unknown { nearest, .. }) => nearest,
            other => panic!("{other:?}"),
        };
        assert_eq!(nearest("wool")[..2], ["mineral-wool", "sheep-wool"]);
        assert_eq!(nearest("polystyrene")[..2], ["xps", "eps"]);
        assert_eq!(nearest("foam board"), ["xps", "eps", "pur"]);
        assert_eq!(
            find("???").unwrap_err().to_string(),
            "unknown material '???'; `overwinter materials` lists all"
        );
    }

    #[test]
    fn a_defined_material_is_found_beside_those_of_the_table() {
        let hemp = Material::defined("hemp-mat", 0.042, 40.0, 1_700.0, Some(2.0)).unwrap();
        let catalogue = Catalogue::with(vec![hemp.clone()]).unwrap();
        assert_eq!(catalogue.find("hemp-mat"), Ok(&hemp));
        assert_eq!(catalogue.find("softwood").ok(), find("softwood").ok());
        assert!(
            catalogue
                .find("hemp-mad")
                .unwrap_err()
                .to_string()
                .contains("'hemp-mat'")
        );
        assert_eq!(catalogue.all().count(), table().len() + 1);
    }

    #[test]
    fn a_name_that_is_taken_is_refused() {
        let named = |name| Material::defined(name, 0.042, 40.0, 1_700.0, None).unwrap();
        for name in ["xps", "pine"] {
            let error = Catalogue::with(vec![named(name)]).unwrap_err();
            assert_eq!(
                error,
                MaterialError::Taken {
                    name: name.to_owned(),
                    in_table: true
                }
            );
        }
        let twice = Catalogue::with(vec![named("hemp"), named("hemp")]).unwrap_err();
        assert!(
            twice
                .to_string()
                .contains("'hemp' is defined already; choose another name, as 'my-hemp'")
        );
    }
}
