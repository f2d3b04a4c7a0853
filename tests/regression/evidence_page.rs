//! The guide's page on validation is what `overwinter evidence` writes.

use overwinter::evidence::Evidence;
use overwinter::report::evidence_page;
use support::program::Yard;

#[test]
fn the_page_of_the_guide_is_what_the_command_writes() {
    let yard = Yard::new();
    yard.succeed(&["evidence", "--out", "evidence"]);
    let out = yard.path("evidence");
    let written = std::fs::read_to_string(out.join("validation.md")).expect("validation.md");
    let committed = std::fs::read_to_string("src/guide/validation.md").expect("the guide's page");
    for row in &Evidence::built_in().rows {
        assert!(
            committed.contains(&evidence_page::assumed(row)),
            "{}",
            row.id
        );
    }
    assert!(
        written == committed,
        "src/guide/validation.md is not what `overwinter evidence --out DIR` writes; copy it from there"
    );
    for picture in ["misses.svg", "misses.png", "shared-unknowns.svg"] {
        assert!(out.join(picture).is_file(), "{picture}");
    }
}
