use super::*;

const HEAD: &str = "version = 1\n[[kind]]\nname = \"heat\"\ndiscrepancy = 0.1\nwhy = \"a test\"\n";
const ROW: &str = "[[row]]\nid = \"a-row\"\nquantity = \"heat\"\npublished = \"4\"\nconditions = \"none\"\nobserved = 4.0\nsd = 0.5\nsd_from = \"guess\"\n\
    unit = \"W/kg\"\nsource = \"Someone 1900\"\nmark = \"read\"\nrole = \"fitted\"\nkind = \"heat\"\nmeasure = { chamber-heat = { kg = 1.0, air_c = 2.0 } }\n";

fn refusal(from: &str, to: &str) -> String {
    let text = format!("{HEAD}{ROW}");
    assert!(text.contains(from), "{from}");
    let error = Evidence::parse(&text.replace(from, to)).expect_err(to);
    error.to_string()
}

#[test]
fn a_row_that_lacks_something_is_refused_by_name() {
    assert!(Evidence::parse(&format!("{HEAD}{ROW}")).is_ok());
    for (line, what) in [
        ("sd = 0.5\n", "standard deviation"),
        ("sd_from = \"guess\"\n", "how its standard deviation"),
        ("source = \"Someone 1900\"\n", "source"),
        ("observed = 4.0\n", "observed value"),
        ("mark = \"read\"\n", "mark"),
        ("conditions = \"none\"\n", "assumed conditions"),
        (
            "measure = { chamber-heat = { kg = 1.0, air_c = 2.0 } }\n",
            "measure",
        ),
    ] {
        let words = refusal(line, "");
        assert!(
            words.starts_with("evidence row a-row: has no ") && words.contains(what),
            "{words}"
        );
    }
    assert!(refusal("source = \"Someone 1900\"", "source = \" \"").contains("has no source"));
}

#[test]
fn a_row_from_memory_cannot_be_fitted_and_one_that_is_not_fitted_says_why() {
    assert!(refusal("mark = \"read\"", "mark = \"memory\"").contains("a-row"));
    assert!(refusal("role = \"fitted\"", "role = \"shown\"").contains("has no reason (why)"));
}

#[test]
fn values_out_of_range_are_refused_with_row_and_range() {
    assert!(refusal("sd = 0.5", "sd = 0.0").contains("evidence row a-row: sd is 0"));
    assert!(refusal("kg = 1.0", "kg = 40.0").contains("kg is 40, allowed is 0.005 to 10"));
    let given = "role = \"fitted\"\ngiven = { core_set_c = 60.0 }";
    let words = refusal("role = \"fitted\"", given);
    assert!(
        words.contains("evidence row a-row: core_set_c is 60"),
        "{words}"
    );
    let given = "role = \"fitted\"\ngiven = { no_such = 1.0 }";
    assert!(refusal("role = \"fitted\"", given).contains("a-row: knows no parameter \"no_such\""));
}

#[test]
fn what_is_not_there_is_refused_by_name() {
    assert!(
        refusal("kind = \"heat\"", "kind = \"cold\"").contains("a-row: knows no kind \"cold\"")
    );
    let measure = "measure = { chamber-heat = { kg = 1.0, air_c = 2.0 } }";
    let loss = "measure = { loss = { run = \"nowhere\", hive = \"thin\", from = \"1 May\", until = \"2 May\" } }";
    assert!(refusal(measure, loss).contains("a-row: knows no run \"nowhere\""));
    assert!(refusal("version = 1", "version = 7").contains("version 7"));
    let twice = format!("{HEAD}{ROW}{ROW}");
    let error = Evidence::parse(&twice).expect_err("twice");
    assert_eq!(error.to_string(), "evidence row a-row: stands there twice");
}

#[test]
fn the_built_in_evidence_is_read_and_every_source_of_section_one_is_in_it() {
    let evidence = Evidence::built_in();
    assert!(evidence.rows.len() >= 20);
    let named = |who: &str| {
        let rows = evidence.rows.iter().map(|row| &row.source);
        let listed = evidence.listed.iter().map(|row| &row.source);
        rows.chain(listed).any(|source| source.contains(who))
    };
    for who in [
        "Southwick 1985",
        "Southwick 1982",
        "Omholt 1987",
        "Mitchell 2023",
        "Severson & Erickson 1990",
        "Melathopoulos",
        "Fahrenholz 1989",
        "Seeley 2019",
        "Owens 1971",
        "Norrstrom 2021",
        "Kronenberg & Heller 1982",
        "Nurnberger 2018",
        "St. Clair 2022",
        "Bayles & Parker 1958",
        "scale hives",
    ] {
        assert!(named(who), "{who}");
    }
}
