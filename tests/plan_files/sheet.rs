//! `plan.html`, read as XML, and the tables beside it.

use crate::support::{draw, draw_as, named, taskings};
use roxmltree::{Document, Node};

/// The page as XML: HTML leaves the elements that are always empty open (WHATWG HTML, "void
/// elements"; the page has `meta` alone).
fn as_xml(page: &str) -> String {
    let body = page.strip_prefix("<!DOCTYPE html>").expect("a doctype");
    let mut parts = body.split("<meta");
    let mut xml = parts.next().unwrap().to_owned();
    for part in parts {
        xml.push_str("<meta");
        xml.push_str(&part.replacen('>', "/>", 1));
    }
    xml
}

fn text_of(node: Node<'_, '_>) -> String {
    let texts = node.descendants().filter(Node::is_text);
    let text: String = texts.filter_map(|node| node.text()).collect();
    text.replace('\u{a0}', " ")
}

fn tags<'a, 'i>(node: Node<'a, 'i>, name: &'static str) -> impl Iterator<Item = Node<'a, 'i>> {
    node.descendants()
        .filter(move |node| node.has_tag_name(name))
}

#[test]
fn the_sheet_holds_every_leg_and_stands_alone() {
    for (name, text) in taskings() {
        let drawn = draw(&text);
        let page = &drawn.files["plan.html"];
        let xml = as_xml(page);
        let tree = Document::parse(&xml).unwrap_or_else(|e| panic!("{name}: {e}"));
        let root = tree.root_element();
        let table = tags(root, "table")
            .find(|table| table.attribute("class") == Some("legs"))
            .unwrap();
        let rows: Vec<Vec<String>> = tags(tags(table, "tbody").next().unwrap(), "tr")
            .map(|row| row.children().map(text_of).collect())
            .collect();
        assert_eq!(rows.len(), drawn.rows.len(), "{name}");
        for (cells, row) in rows.iter().zip(&drawn.rows) {
            assert_eq!(cells.len(), 9);
            assert_eq!(
                cells[..3],
                [
                    row.label.clone(),
                    row.start.to_string(),
                    row.end.to_string()
                ]
            );
            let three = |deg: f64| format!("{:03}", deg.round() as u32 % 360);
            let magnetic = three(row.course_magnetic_deg.unwrap());
            assert_eq!(cells[3..5], [three(row.course.deg()), magnetic]);
            assert_eq!(cells[5], format!("{:.2}", row.length.nm()));
        }
        // Every search leg has its number on the map, and every corner its letter.
        let picture = tags(root, "svg").next().unwrap();
        let words: Vec<String> = tags(picture, "text").map(text_of).collect();
        for leg in drawn.plan.search_legs() {
            assert!(words.contains(&leg.1.label), "{name}: leg {}", leg.1.label);
        }
        for (index, _) in drawn.plan.area.sharp_corners().iter().enumerate() {
            let letter = char::from(b'A' + u8::try_from(index).unwrap()).to_string();
            assert!(words.contains(&letter), "{name}: {letter}");
        }
        // Accessible: picture named, head cells scoped, one heading of the first rank.
        let children: Vec<&str> = picture
            .children()
            .map(|node| node.tag_name().name())
            .take(2)
            .collect();
        assert_eq!(children, ["title", "desc"]);
        assert!(tags(root, "th").all(|th| th.has_attribute("scope")));
        assert_eq!(tags(root, "h1").count(), 1);
        // Nothing from elsewhere: no address, no script.
        let squeezed: String = page.split_whitespace().collect();
        for outside in [
            "http:", "https:", "//", "url(", "@import", "<script", "<link", "src=", "href=",
        ] {
            assert!(!squeezed.contains(outside), "{name}: {outside}");
        }
    }
}

#[test]
fn the_sheet_shows_the_figures_of_the_preflight() {
    // 10 legs of 7 NM and 9 of 0.5 NM: 74.5 NM, 2980 s at 90 kt, 3505.9 s with 15 % for the rest; at
    // C = 1 erf(√π/2) = 0.7899 and 1 - 1/e = 0.6321 (docs/method.md).
    let drawn = draw(&taskings()[0].1);
    let xml = as_xml(&drawn.files["plan.html"]);
    let text = text_of(Document::parse(&xml).unwrap().root_element());
    for figure in [
        "parallel sweep (PS)",
        "2026-06-14",
        "10 search legs, 9 cross-legs",
        "0.50 NM",
        "1.00",
        "79 % inverse cube, 63 % exponential, 100 % definite range",
        "74.5 NM",
        "49:40 min at 90 kt",
        "58:26 min",
        "2,500 ft",
        "48°30.000'N 067°00.000'E",
        "WMM2025 for 2026-06-14",
        // By hand from the rule of CJCSI 3900.01C: 48°30' N, 67° E.
        "495MP37",
        "not for navigation",
        "qualified crew",
    ] {
        assert!(text.contains(figure), "no {figure}: {text}");
    }
}

#[test]
fn hostile_names_cannot_break_out() {
    let evil = "</title><b>\"'&\u{0}\u{202e}<script>alert(1)</script>";
    let drawn = draw_as(&named("Teal"), Some(evil));
    let page = &drawn.files["plan.html"];
    assert!(!page.contains("<b>") && !page.contains("<script"));
    assert!(!page.contains(['\u{0}', '\u{202e}']));
    let xml = as_xml(page);
    let tree = Document::parse(&xml).unwrap();
    let heading = text_of(tags(tree.root_element(), "h1").next().unwrap());
    assert_eq!(heading, evil.replace(['\u{0}', '\u{202e}'], "\u{fffd}"));
}

#[test]
fn the_same_plan_gives_the_same_bytes() {
    for (name, text) in taskings() {
        assert!(draw(&text).files == draw(&text).files, "{name}");
    }
}

#[test]
fn the_table_of_legs_adds_up() {
    for (name, text) in taskings() {
        let drawn = draw(&text);
        let csv = &drawn.files["legs.csv"];
        let mut lines = csv.split("\r\n").filter(|line| !line.is_empty());
        let head: Vec<&str> = lines.next().unwrap().split(',').collect();
        let column = |name: &str| head.iter().position(|h| *h == name).unwrap();
        let (mut way, mut time) = (0.0, 0.0);
        let mut count = 0;
        for (line, leg) in lines.zip(&drawn.plan.legs) {
            let cells: Vec<&str> = line.split(',').collect();
            assert_eq!(cells.len(), head.len());
            let number = |name: &str| cells[column(name)].parse::<f64>().unwrap();
            assert_eq!(cells[0], leg.label);
            assert!((number("start_lat_deg") - leg.start.lat()).abs() <= 1e-7);
            assert!((number("end_lon_deg") - leg.end.lon()).abs() <= 1e-7);
            way += number("length_nm");
            time += number("duration_s");
            count += 1;
            assert!(
                (number("cumulative_nm") - way).abs() <= 0.001 * f64::from(count),
                "{name}"
            );
            assert!(
                (number("cumulative_s") - time).abs() <= 0.1 * f64::from(count),
                "{name}"
            );
            assert_eq!(number("altitude_ft"), 2500.0);
        }
        assert_eq!(count as usize, drawn.plan.legs.len());
    }
}
