//! A small study in a folder of its own: two hives at some stations, which share one winter of the sample.

use std::collections::BTreeMap;
use std::time::SystemTime;
use support::program::{Yard, one_winter, table};

/// A cell's file.
pub struct Kept {
    pub bytes: Vec<u8>,
    pub modified: SystemTime,
}

/// A folder with `study.toml`, `thin.toml`, `thick.toml` and the weather of so many stations, each a degree further north.
pub fn study(stations: usize) -> Yard {
    let yard = Yard::new();
    yard.succeed(&["new", "starter.toml"]);
    let starter = yard.text("starter.toml");
    let named = |name: &str| starter.replacen("Kettlewend, two boxes of 19 mm softwood", name, 1);
    let thick = named("thick").replacen("wall = [", "wall = [\"38 mm xps\", ", 1);
    assert_ne!(thick, named("thick"));
    yard.write("thin.toml", named("thin"));
    yard.write("thick.toml", thick);
    let weather = one_winter();
    for station in 1..=stations {
        let latitude = format!("latitude: {}", 40 + station);
        let own = weather.replacen("latitude: 47.2", &latitude, 1);
        assert_ne!(own, weather);
        yard.write(&format!("weather/s{station}.csv"), own);
    }
    yard.write(
        "study.toml",
        "name = \"Trial\"\nscenarios = [\"thin.toml\", \"thick.toml\"]\nmembers = 3\nseed = 7\n[weather]\nfolder = \"weather\"\n[[season]]\n\
         name = \"calendar\"\nstart = \"1 October\"\nfirst_forage = \"20 April\"\n",
    );
    yard
}

/// `results.csv` of a batch.
pub fn results(yard: &Yard, folder: &str) -> (Vec<String>, Vec<Vec<String>>) {
    table(&yard.text(&format!("{folder}/results.csv")))
}

/// The finished cells of a batch by their names without hash; what is half written has none and is left out.
pub fn cells(yard: &Yard, folder: &str) -> BTreeMap<String, Kept> {
    let Ok(entries) = std::fs::read_dir(yard.path(&format!("{folder}/cells"))) else {
        return BTreeMap::new();
    };
    let mut cells = BTreeMap::new();
    for entry in entries {
        let path = entry.expect("an entry").path();
        let name = path
            .file_name()
            .expect("a name")
            .to_string_lossy()
            .into_owned();
        if name.starts_with('.') {
            continue;
        }
        let parts: Vec<&str> = name.split('.').collect();
        let modified = path.metadata().and_then(|data| data.modified());
        let kept = Kept {
            bytes: std::fs::read(&path).expect("a cell"),
            modified: modified.expect("a time"),
        };
        cells.insert(parts[..3].join("."), kept);
    }
    cells
}
