use super::live::SCRIPT;
use super::report_html;
use crate::debrief::Debrief;
use crate::report::test_fixture::{self, Shape, keep};
use quick_xml::Reader;
use quick_xml::events::Event;

/// Elements that HTML closes by themselves (WHATWG HTML, "void elements").
const VOID: [&str; 4] = ["meta", "br", "hr", "input"];

fn page(debrief: &Debrief) -> String {
    report_html(debrief).unwrap()
}

/// The page without its scripts, which are its own and the last of it.
fn without_scripts(page: &str) -> String {
    assert_eq!(page.matches("<script").count(), 2);
    let (before, scripts) = page.split_once("<script").unwrap();
    assert!(
        scripts.contains(SCRIPT),
        "the script was changed on the way"
    );
    let (_, after) = scripts.rsplit_once("</script>").unwrap();
    format!("{before}{after}")
}

/// Reads the page as XML and checks that every element is closed where it should be; returns each
/// attribute and the text outside the style sheet.
fn read(page: &str) -> (Vec<(String, String)>, String) {
    let page = without_scripts(page);
    let body = page.strip_prefix("<!DOCTYPE html>").expect("a doctype");
    let mut reader = Reader::from_str(body);
    reader.config_mut().check_end_names = false;
    reader.config_mut().allow_unmatched_ends = true;
    let (mut open, mut attributes, mut text) = (Vec::<String>::new(), Vec::new(), String::new());
    loop {
        match reader.read_event().expect("well-formed") {
            Event::Eof => break,
            Event::Start(tag) => {
                for attribute in tag.html_attributes() {
                    let attribute = attribute.expect("a well-formed attribute");
                    let name = attribute.key.0.to_owned();
                    attributes.push((name, attribute.value.into_owned()));
                }
                let name = tag.name().0.to_owned();
                if !VOID.contains(&name.as_str()) {
                    open.push(name);
                }
            }
            Event::End(tag) => {
                let name = tag.name().0.to_owned();
                assert_eq!(open.pop().as_ref(), Some(&name));
            }
            Event::Text(words) if open.last().is_none_or(|name| name != "style") => {
                text.push_str(&words);
            }
            Event::GeneralRef(entity) => {
                text.push('&');
                text.push_str(&entity);
                text.push(';');
            }
            _ => {}
        }
    }
    assert!(open.is_empty(), "left open: {open:?}");
    (attributes, text)
}

#[test]
fn the_page_is_well_formed_and_stands_alone() {
    let page = page(&test_fixture::debrief());
    keep("usual.html", page.as_bytes());
    let (attributes, _) = read(&page);
    for (name, value) in &attributes {
        if ["src", "href", "xlink:href", "action", "data", "poster"].contains(&name.as_str()) {
            assert!(
                value.starts_with('#') || value.starts_with("data:image/png;base64,"),
                "{value}"
            );
        }
    }
    for outside in [
        "http:", "https:", "//", "url(", "@import", "<link", "<iframe",
    ] {
        let free = without_scripts(&page).replace(|c: char| c.is_whitespace(), "");
        // Base 64 holds slashes.
        let free = free
            .split("base64,")
            .map(|p| p.split_once('"').map_or(p, |(_, rest)| rest));
        let free: String = free.collect();
        assert!(!free.contains(outside), "{outside}");
    }
    for (name, value) in attributes
        .iter()
        .filter(|(name, value)| name == "href" && value.starts_with('#'))
    {
        let id = ("id".to_owned(), value[1..].to_owned());
        assert!(attributes.contains(&id), "{name} {value} leads nowhere");
    }
}

#[test]
fn ids_are_unique_and_pictures_named() {
    let (attributes, _) = read(&page(&test_fixture::debrief()));
    let mut ids: Vec<&str> = attributes
        .iter()
        .filter(|(name, _)| name == "id")
        .map(|(_, id)| id.as_str())
        .collect();
    let all = ids.len();
    ids.sort_unstable();
    ids.dedup();
    assert_eq!(ids.len(), all);
    let names = attributes
        .iter()
        .filter(|(name, _)| name == "aria-labelledby");
    let ids_named: Vec<&str> = names.flat_map(|(_, value)| value.split(' ')).collect();
    // The fixture has no fixes, and so no charts of height and speed.
    assert_eq!(ids_named.len(), 8);
    assert!(ids_named.iter().all(|id| ids.contains(id)), "{ids_named:?}");
}

#[test]
fn texts_from_files_cannot_break_out() {
    let mut debrief = test_fixture::debrief();
    let evil = "</title></text><script>alert(1)</script>\"'&\u{0}\u{1b}[31m\u{202e}gpx";
    debrief.sortie = evil.into();
    debrief.pilot = Some(evil.into());
    debrief.log.track_name = Some(evil.into());
    debrief.plan.search_object = Some(evil.into());
    debrief.log.ledger[0].raw = evil.into();
    debrief.inputs[0].name = evil.into();
    debrief.remarks.push(evil.into());
    debrief.strips[0].leg = evil.into();
    debrief.legs[0].leg = evil.into();
    debrief.plan.legs[0].label = evil.into();
    debrief.additional_legs[0].label = evil.into();
    let page = page(&debrief);
    let (_, text) = read(&page);
    assert!(!page.contains("<script>alert"));
    let flight = page.split_once("type=\"application/json\">").unwrap().1;
    let flight = flight.split_once("</script>").unwrap().0;
    let flight: serde_json::Value = serde_json::from_str(flight).unwrap();
    let shown = evil.replace(['\u{0}', '\u{1b}', '\u{202e}'], "\u{fffd}");
    assert!(flight["boxes"][&shown].is_array(), "{}", flight["boxes"]);
    assert!(text.contains("&lt;script&gt;alert(1)"));
    assert!(!page.contains(['\u{0}', '\u{1b}', '\u{202e}']));
    assert!(text.contains('\u{fffd}'));
}

/// The digest in the policy is that of the script in the page.
#[test]
fn only_its_own_script_runs() {
    use crate::report::drawing::png::base64;
    use sha2::{Digest, Sha256};
    let page = page(&test_fixture::debrief());
    let script = page.rsplit_once("<script>").unwrap().1;
    let script = script.split_once("</script>").unwrap().0;
    let digest = base64(&Sha256::digest(script.as_bytes()));
    let policy = format!("script-src &apos;sha256-{digest}&apos;");
    let policy = policy.replace("&apos;", "'");
    assert!(page.contains(&policy), "{policy}");
    for reach in [
        "fetch",
        "XMLHttpRequest",
        "WebSocket",
        "import(",
        "eval(",
        "innerHTML",
        "location",
    ] {
        assert!(!script.contains(reach), "{reach}");
    }
}

/// The figures of the fixture, as its fields have them.
#[test]
fn the_page_shows_the_figures_of_the_debrief() {
    let (_, text) = read(&page(&test_fixture::debrief()));
    let text = text.replace("&lt;", "<").replace('\u{a0}', " ");
    for figure in [
        "2 of 10 strips need a re-fly: 82 % of the area is at or above the target POD of 63 %.",
        "62 %",                  // POD, inverse cube
        "exponential 51 %",      //
        "definite range 71 %",   //
        "68 % as planned",       //
        "211 m left",            // largest XTE
        "37 m right",            // bias
        "152 m",                 // 95 %
        "0.42 NM",               // established
        "1,012 ft",              // height
        "91 ± 3.2 kt",           // ground speed
        "6 kt from the left",    // crosswind
        "from 214° T at 9 kt",   // wind
        "8.4° W ± 0.4°",         // declination
        "0.25 NM",               // spacing achieved
        "2:41 min",              // excursion
        "7,342 of 7,344 points", // log
        "5d41402abc4b2a76b9719d911017c592",
        "The last strip reaches 0.02 NM beyond the area.",
        "1 leg was flown against its planned direction: 6.",
    ] {
        assert!(text.contains(figure), "{figure}");
    }
    for caution in crate::cautions::DEBRIEF {
        assert!(text.contains(caution), "{caution}");
    }
}

#[test]
fn what_is_missing_is_said_and_never_zero() {
    let mut debrief = test_fixture::debrief();
    debrief.wind = None;
    debrief.tracking = None;
    debrief.plan.declination = None;
    debrief.plan.altitude = None;
    let handling = debrief.handling.as_mut().unwrap();
    (
        handling.height_mean,
        handling.height_min,
        handling.height_max,
    ) = (None, None, None);
    handling.height_outside_s = None;
    let (_, text) = read(&page(&debrief));
    for words in [
        "Wind: not estimated",
        "No planned leg was flown, so there is no XTE.",
        "not known: the date lies outside the magnetic model",
        "the tasking names no altitude",
        "not recorded",
    ] {
        assert!(text.contains(words), "{words}");
    }
    assert!(!text.contains("NaN") && !text.contains("inf "));
}

#[test]
fn extremes_are_drawn() {
    let shapes = [
        (
            "one",
            Shape {
                legs: 1,
                not_flown: 0,
                ..Shape::default()
            },
        ),
        (
            "sixty",
            Shape {
                legs: 60,
                cells: 3,
                ..Shape::default()
            },
        ),
        (
            "wide",
            Shape {
                legs: 4,
                leg_nm: 40.0,
                cells: 4,
                ..Shape::default()
            },
        ),
        (
            "nothing",
            Shape {
                legs: 1,
                not_flown: 1,
                ..Shape::default()
            },
        ),
    ];
    for (name, shape) in shapes {
        let mut debrief = shape.build();
        if name == "wide" {
            debrief.sortie = "Sortie with a name that goes on and on ".repeat(6);
            debrief.log.track_name = Some("unbrokenname".repeat(40));
        }
        let page = page(&debrief);
        read(&page);
        keep(&format!("{name}.html"), page.as_bytes());
    }
}
