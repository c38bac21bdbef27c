//! What `refly` writes: every file, the same figures in text and page, GeoJSON that is the ground of the value, and
//! pictures that show something.

use crate::support::{Folder, Run};
use serde_json::Value;

pub const FILES: [&str; 8] = [
    "before-after.png",
    "curve.png",
    "heatmap.png",
    "refly.gpx",
    "search.html",
    "search.json",
    "search.txt",
    "strips.geojson",
];

fn sample(name: &str) -> String {
    format!("{}/sample-logs/{name}", env!("CARGO_MANIFEST_DIR"))
}

/// Searches sample sorties together; the results are in `out/search` unless a search file names them.
pub fn searched(samples: &[&str], more: &[&str]) -> (Folder, Run) {
    let folder = Folder::new();
    let paths: Vec<String> = samples.iter().map(|name| sample(name)).collect();
    let mut arguments = vec!["refly"];
    arguments.extend(paths.iter().map(String::as_str));
    arguments.extend(more);
    let run = folder.run(&arguments);
    assert_eq!(run.code, 0, "{}", run.err);
    (folder, run)
}

/// Searches of one sortie, of three with other patterns and spacings over overlapping areas, and of four with
/// sub-areas and probabilities of their own.
pub fn searches() -> Vec<(&'static str, Folder, String)> {
    let three_cells = sample("three-cells.toml");
    [
        ("one", vec!["faults"], vec![]),
        (
            "three",
            vec!["creeping-line", "expanding-square", "interleaved-tasked"],
            vec![],
        ),
        (
            "four",
            vec!["clean", "faults", "creeping-line", "expanding-square"],
            vec!["--search", three_cells.as_str()],
        ),
    ]
    .into_iter()
    .map(|(name, samples, more)| {
        let (folder, _) = searched(&samples, &more);
        let results = if more.is_empty() {
            "out/search"
        } else {
            "out/Three cells"
        };
        (name, folder, results.to_owned())
    })
    .collect()
}

/// The page as XML: what HTML leaves open is closed first.
fn as_xml(page: &str) -> String {
    let page = page
        .replacen("<!DOCTYPE html>", "", 1)
        .replace("<br>", "<br/>");
    let mut xml = String::new();
    for (i, part) in page.split("<meta ").enumerate() {
        if i == 0 {
            xml.push_str(part);
        } else {
            xml.push_str("<meta ");
            xml.push_str(&part.replacen('>', "/>", 1));
        }
    }
    xml
}

/// Words of a page with single blanks, figures and units included.
fn words_of(page: &roxmltree::Document<'_>) -> String {
    let body = page.descendants().find(|n| n.has_tag_name("body")).unwrap();
    let text: Vec<&str> = body
        .descendants()
        .filter(|n| n.is_text() && !n.ancestors().any(|a| a.has_tag_name("svg")))
        .filter_map(|n| n.text())
        .collect();
    unwrapped(&text.join(" "))
}

fn unwrapped(text: &str) -> String {
    let text = text.replace('\u{a0}', " ");
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn every_file_is_written() {
    for (name, folder, results) in searches() {
        let names = folder.names(&results);
        for file in FILES {
            assert!(names.contains(&file.to_owned()), "{name}: no {file}");
        }
        let run = folder.text(&format!("{results}/search.txt"));
        assert!(
            run.lines().all(|line| line.chars().count() <= 100),
            "{name}"
        );
    }
    // A second run replaces the first, and the same inputs give the same bytes.
    let (folder, first) = searched(&["faults"], &[]);
    let before = folder.results("out/search");
    let again = folder.run(&["refly", &sample("faults")]);
    assert_eq!((again.code, again.out), (0, first.out));
    assert_eq!(folder.results("out/search"), before);
}

fn percent(share: &Value) -> String {
    let share = share.as_f64().unwrap();
    let whole = (100.0 * share).round();
    match whole {
        w if w <= 0.0 && share > 0.0 => "<1 %".into(),
        w if w >= 100.0 && share < 1.0 => ">99 %".into(),
        w => format!("{w} %"),
    }
}

/// `73 % (72 to 74 %)`, worked out here from the JSON.
fn band(pod: &Value, low: &Value, high: &Value) -> String {
    let (middle, low_text, high_text) = (percent(pod), percent(low), percent(high));
    if low_text == middle && high_text == middle {
        return middle;
    }
    let broad = high.as_f64().unwrap() - low.as_f64().unwrap() > 0.1;
    let about = if broad { "about " } else { "" };
    format!(
        "{about}{middle} ({} to {high_text})",
        low_text.trim_end_matches(" %")
    )
}

/// Figures and sentences that both text and page must have, from the JSON.
fn told(json: &Value) -> Vec<String> {
    let pod = &json["pod"];
    let mut told = vec![
        format!(
            "POD over the ground is {}",
            band(&pod["pod"], &pod["low"], &pod["high"])
        ),
        band(&json["pos"], &json["pos_low"], &json["pos_high"]),
        format!(
            "{} on the ground, {} elsewhere",
            percent(&json["poc_left"]),
            percent(&json["poc_elsewhere"])
        ),
    ];
    for sortie in json["sorties"].as_array().unwrap() {
        let so_far = &sortie["cumulative"];
        told.extend([
            sortie["name"].as_str().unwrap().to_owned(),
            sortie["date"].as_str().unwrap().to_owned(),
            format!("{:.2}", sortie["sweep_width_m"].as_f64().unwrap() / 1852.0),
            format!("{:.2}", sortie["spacing_m"].as_f64().unwrap() / 1852.0),
            sortie["law"].as_str().unwrap().to_owned(),
            percent(&sortie["pod_alone"]),
            percent(&sortie["pos"]),
            band(&so_far["pod"], &so_far["low"], &so_far["high"]),
            band(
                &sortie["cumulative_pos"],
                &sortie["cumulative_pos_low"],
                &sortie["cumulative_pos_high"],
            ),
        ]);
    }
    for part in json["sub_areas"].as_array().unwrap() {
        let pod = &part["pod_band"];
        told.extend([
            part["name"].as_str().unwrap().to_owned(),
            percent(&part["poc"]),
            percent(&part["poc_left"]),
            percent(&part["poc_left_normalised"]),
            band(&pod["pod"], &pod["low"], &pod["high"]),
        ]);
    }
    for strip in json["strips"].as_array().unwrap() {
        let holes = strip["holes"].as_array().unwrap();
        if holes.is_empty() {
            continue;
        }
        let pod = &strip["pod_band"];
        told.push(band(&pod["pod"], &pod["low"], &pod["high"]));
        for hole in holes {
            let along = |key: &str| hole["span"][key].as_f64().unwrap() / 1852.0;
            let cause = match hole["cause"].as_str().unwrap() {
                "missed" => "below target",
                _ => "not recorded",
            };
            told.push(format!(
                "{cause} {:.2} to {:.2} NM",
                along("from_m"),
                along("to_m")
            ));
        }
        for by in strip["flown_by"].as_array().unwrap() {
            told.push(format!(
                "{} on leg {}, {}",
                by["sortie"].as_str().unwrap(),
                by["leg"].as_str().unwrap(),
                &by["from"].as_str().unwrap()[..10]
            ));
        }
    }
    let refly = &json["refly"];
    if !refly["legs"].as_array().unwrap().is_empty() {
        for way in ["outcome", "every_leg"] {
            let minutes = (refly[way]["duration_s"].as_f64().unwrap() / 60.0).round() as u64;
            told.push(match minutes {
                0..60 => format!("about {minutes} min"),
                _ => format!("about {} h {:02} min", minutes / 60, minutes % 60),
            });
            told.push(format!("about {}", percent(&refly[way]["pod"])));
        }
    }
    for text in ["remarks", "cautions"] {
        let texts = json[text].as_array().unwrap().iter();
        told.extend(texts.map(|text| text.as_str().unwrap().to_owned()));
    }
    for input in json["inputs"].as_array().unwrap() {
        told.push(input["sha256"].as_str().unwrap().to_owned());
    }
    told
}

#[test]
fn text_and_page_say_the_same() {
    for (name, folder, results) in searches() {
        let json = folder.json(&format!("{results}/search.json"));
        let text = unwrapped(&folder.text(&format!("{results}/search.txt")));
        let page = as_xml(&folder.text(&format!("{results}/search.html")));
        let page = words_of(&roxmltree::Document::parse(&page).unwrap());
        let told = told(&json);
        assert!(told.len() > 30, "{name}");
        for figure in told {
            assert!(
                text.contains(&figure),
                "{name}: {figure} is not in the text"
            );
            assert!(
                page.contains(&figure),
                "{name}: {figure} is not on the page"
            );
        }
        // The sentence that is read first is the same, word for word.
        let headline = text.split(" POD over the ground ").next().unwrap();
        let after_title = headline.split_once(&*days(&json)).unwrap().1.trim();
        let sentence = after_title.split(" POS ").next().unwrap();
        assert!(sentence.contains("sortie"), "{sentence}");
        assert!(page.contains(sentence), "{name}: {sentence}");
    }
}

fn days(json: &Value) -> String {
    let sorties = json["sorties"].as_array().unwrap();
    sorties.last().unwrap()["date"].as_str().unwrap().to_owned()
}

/// A log with a long hole: what it hides makes the band broad, and the figure a rough one in every report. A search of
/// one sortie has the band of its debrief, over its one sub-area as over the whole ground.
#[test]
fn a_broad_band_is_told_as_rough() {
    let folder = Folder::flown(&["--dropout", "2:0.5NM:330s"]);
    let run = folder.debrief(&["--json"]);
    let debrief: Value = serde_json::from_str(&run.out).unwrap();
    let flown = folder.path().join("flown");
    std::fs::create_dir(&flown).unwrap();
    for name in ["log.gpx", "tasking.toml"] {
        std::fs::copy(folder.path().join(name), flown.join(name)).unwrap();
    }
    let run = folder.run(&["refly", "flown"]);
    assert_eq!(run.code, 0, "{}", run.err);
    let json = folder.json("out/search/search.json");
    let value = |band: &Value, key: &str| band[key].as_f64().unwrap();
    let own = &debrief["coverage"]["pod_band"];
    for band in [&json["pod"], &json["sub_areas"][0]["pod_band"]] {
        for key in ["pod", "low", "high"] {
            let (search, sortie) = (value(band, key), value(own, key));
            assert!((search - sortie).abs() < 0.005, "{key}: {search} {sortie}");
        }
    }
    let strips = json["strips"].as_array().unwrap();
    let mut widest = 0.0_f64;
    for strip in strips {
        let band = &strip["pod_band"];
        let (pod, low, high) = (value(band, "pod"), value(band, "low"), value(band, "high"));
        assert_eq!(pod, strip["mean_pod"].as_f64().unwrap());
        assert!(low <= pod && pod <= high, "{strip}");
        widest = widest.max(high - low);
    }
    // A strip that the hole hides whole has little of its POD for certain.
    assert!(widest > 0.4, "{widest}");
    let text = unwrapped(&run.out);
    let rough = band(
        &json["pod"]["pod"],
        &json["pod"]["low"],
        &json["pod"]["high"],
    );
    assert!(rough.starts_with("about "), "{rough}");
    let page = as_xml(&folder.text("out/search/search.html"));
    let page = words_of(&roxmltree::Document::parse(&page).unwrap());
    for report in [text, page] {
        assert!(
            report.contains(&format!("POD over the ground is {rough}")),
            "{report}"
        );
    }
}

/// With a POD wanted over the ground the re-fly need not close every hole: which it leaves is said by name.
#[test]
fn strips_left_with_holes_are_named() {
    let samples = ["faults", "creeping-line", "expanding-square"];
    let (folder, run) = searched(&samples, &["--target-pod", "0.8"]);
    let json = folder.json("out/search/search.json");
    let left = json["refly"]["outcome"]["strips_left"].as_u64().unwrap();
    assert!(left > 2, "{left}");
    let text = unwrapped(&run.out);
    let (_, names) = text.split_once("Left with holes: ").unwrap();
    let names = names.split('.').next().unwrap();
    assert_eq!(names.split(", ").count() as u64, left, "{names}");
    let strips = json["strips"].as_array().unwrap();
    for name in names.split(", ") {
        assert!(strips.iter().any(|strip| strip["leg"] == name), "{name}");
    }
    let page = as_xml(&folder.text("out/search/search.html"));
    let page = words_of(&roxmltree::Document::parse(&page).unwrap());
    assert!(
        page.contains(&format!("Left with holes: {names}.")),
        "{page}"
    );
    // What they have to reach is the same in both.
    for report in [&text, &page] {
        assert!(report.contains(", 80 % wanted."), "{report}");
    }
}

/// Well-formed, without script or network, every link leads somewhere, every picture is named and described, every
/// table can be reached by keyboard.
#[test]
fn the_page_stands_alone_and_is_readable_without_eyes_or_mouse() {
    for (name, folder, results) in searches() {
        let text = folder.text(&format!("{results}/search.html"));
        let xml = as_xml(&text);
        let page = roxmltree::Document::parse(&xml).unwrap();
        let ids: Vec<&str> = page
            .descendants()
            .filter_map(|n| n.attribute("id"))
            .collect();
        let mut once = ids.clone();
        once.sort_unstable();
        once.dedup();
        assert_eq!(once.len(), ids.len(), "{name}: an id stands twice");
        for node in page.descendants().filter(roxmltree::Node::is_element) {
            assert!(!["script", "link", "iframe"].contains(&node.tag_name().name()));
            for attribute in node.attributes() {
                if !["src", "href"].contains(&attribute.name()) {
                    continue;
                }
                let target = attribute.value();
                let inside = target.strip_prefix('#').is_some_and(|id| ids.contains(&id));
                assert!(
                    inside || target.starts_with("data:image/png;base64,"),
                    "{target}"
                );
            }
            match node.tag_name().name() {
                "svg" => {
                    for id in node.attribute("aria-labelledby").unwrap().split(' ') {
                        let named = node.descendants().find(|n| n.attribute("id") == Some(id));
                        assert!(named.unwrap().text().unwrap().len() > 10);
                    }
                }
                "table" => {
                    let scroll = node.parent().unwrap();
                    assert_eq!(scroll.attribute("tabindex"), Some("0"));
                    assert!(scroll.attribute("aria-label").is_some());
                    assert!(node.children().any(|n| n.has_tag_name("caption")));
                }
                _ => {}
            }
        }
        let pictures = page.descendants().filter(|n| n.has_tag_name("svg")).count();
        let legs = folder.json(&format!("{results}/search.json"))["refly"]["legs"].clone();
        let expected = 2 + usize::from(!legs.as_array().unwrap().is_empty());
        assert_eq!(pictures, expected, "{name}");
    }
}

#[test]
fn names_from_files_cannot_break_out() {
    let folder = Folder::new();
    let named = |name: &str| {
        folder.put(
            "search.toml",
            format!(
                "search = \"names\"\n[[sub_areas]]\nname = \"{name}\"\nsouth = 48.5\nnorth = 48.625\n\
                 west = 67.0\neast = 67.125\n"
            ),
        );
        folder.run(&["refly", &sample("faults"), "--search", "search.toml"])
    };
    for (evil, character) in [("a\\u001b[31m", "U+001B"), ("a\\u202eb", "U+202E")] {
        let run = named(evil);
        assert_eq!(run.code, 3, "{}", run.err);
        assert!(run.err.contains(character), "{}", run.err);
    }
    let run = named("</title><script>alert(1)</script>&\\\"");
    assert_eq!(run.code, 0, "{}", run.err);
    assert!(!run.out.contains('\u{1b}'), "{}", run.out);
    let page = folder.text("out/names/search.html");
    assert!(!page.contains("<script") && !page.contains(['\u{1b}', '\u{202e}']));
    let xml = as_xml(&page);
    let words = words_of(&roxmltree::Document::parse(&xml).unwrap());
    assert!(words.contains("<script>alert(1)"));
}
