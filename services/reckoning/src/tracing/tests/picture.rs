//! The picture: well-formed, whole, and told apart without colour.
//! `HAULOUT_PICTURE=FILE cargo test -p haulout-reckoning picture` also writes it to a file.

use super::*;
use crate::tracing::svg;

#[test]
fn the_picture_names_source_exposed_and_contacts() {
    let traced = traced(&quarter::story(), &ask(lot("meruva.police:77-L"), "2026-09-30"));
    let drawn = svg(&traced);
    if let Some(file) = std::env::var_os("HAULOUT_PICTURE") {
        std::fs::write(file, &drawn).unwrap();
    }
    assert!(drawn.starts_with("<svg xmlns=\"http://www.w3.org/2000/svg\""));
    // A name for those who cannot see it, and the whole in words.
    assert!(drawn.contains("<title id=\"traced-title\">Tracing from lot meruva.police:77-L</title>"));
    assert!(drawn.contains("Source: lot meruva.police:77-L, first sign on 2026-07-20"));
    // The source's lot lies in the yard, on the road, in DR1 and in DR2.
    assert_eq!(drawn.matches("SOURCE lot meruva.police:77-L<").count(), 4);
    for lane in ["journey meruva.police:2", "unit DN1", "unit V3", "unit OT2"] {
        assert!(drawn.contains(lane), "{lane}");
    }
    // Eight exposed, eight numbered contacts.
    for n in 1..=8 {
        assert!(drawn.contains(&format!(">{n}</text>")), "{n}");
    }
    assert!(
        drawn.contains("2026-07-09  lot meruva.police:77-P to animal meruva.velitha:12: shared a journey")
    );
    // Every element is closed: as many ends as beginnings.
    assert_eq!(drawn.matches("</").count(), drawn.matches('<').count() - drawn.matches("</").count());
    // Told apart by pattern: no paint but black, white, grey lines and the two patterns.
    for paint in drawn.split("fill=\"").skip(1).map(|rest| rest.split('"').next().unwrap()) {
        assert!(["#000", "#fff", "none", "url(#first)", "url(#later)"].contains(&paint), "{paint}");
    }
}

#[test]
fn a_name_cannot_break_the_picture() {
    let name = "meruva.velitha:<b>&\"";
    let records = [housed(
        "velitha",
        "N1",
        "2026-07-01",
        json!({"lotID": name, "scientificName": "Pangshura tecta"}),
        "A<1>",
        3,
    )];
    let drawn = svg(&traced(&records, &ask(lot(name), "2026-07-12")));
    assert!(!drawn.contains("<b>") && drawn.contains("A&lt;1&gt;"), "{drawn}");
}

#[test]
fn nothing_found_is_drawn_too() {
    let drawn = svg(&traced(&[], &ask(lot("meruva.velitha:9"), "2026-07-12")));
    assert!(drawn.contains("No contact was found"));
}
