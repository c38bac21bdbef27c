//! What a manifest may be, and what is said of one that is none: nothing is begun then.

use crate::field::{Field, log, tasking};

#[track_caller]
fn refused(manifest: &[u8], parts: &[&str]) {
    let field = Field::empty();
    for n in 1..=2 {
        field.put(&format!("{n}.gpx"), &log(n));
        field.put(&format!("{n}.toml"), &tasking(&format!("Wren {n}")));
    }
    field.put("also-1.toml", &tasking("wren 1"));
    field.put("own.toml", &tasking("Summary.CSV"));
    std::fs::write(field.path("m.csv"), manifest).unwrap();
    let run = field.batch(&["m.csv"]);
    let shown = String::from_utf8_lossy(manifest);
    assert_eq!(run.code, 3, "{shown}: {}", run.err);
    for part in ["error: m.csv", "hint: "].iter().chain(parts) {
        assert!(run.err.contains(part), "{part} of {shown}: {}", run.err);
    }
    assert!(run.out.is_empty(), "{}", run.out);
    assert!(
        !field.path("out").exists(),
        "{shown}: something was written"
    );
}

#[test]
fn what_is_no_manifest() {
    refused(b"", &["has no column log", "line 1"]);
    refused(b"log,tasking\n", &["asks for no sortie"]);
    refused(b"log,tasking\n,\n,\n", &["asks for no sortie"]);
    refused(
        b"log,taskng\n1.gpx,1.toml\n",
        &[
            "line 1",
            "no column \"taskng\"",
            "log is needed",
            "tasking, sortie, pilot",
        ],
    );
    refused(b"1.gpx,1.toml\n", &["line 1", "no column \"1.gpx\""]);
    refused(b"tasking\n1.toml\n", &["has no column log"]);
    refused(
        b"log,LOG\n1.gpx,1.gpx\n",
        &["the column log is there twice"],
    );
    refused(
        b"log,tasking\n1.gpx,1.toml\n2.gpx\n",
        &["line 3", "has 1 cells where the first line names 2 columns"],
    );
    refused(
        b"log,tasking\n1.gpx,1.toml\n,2.toml\n",
        &["line 3", "names no log"],
    );
    refused(b"log,tasking\n1.gpx|,1.toml\n", &["line 2", "names no log"]);
    refused(
        b"log,tasking\n1.gpx|1.gpx,1.toml\n",
        &["line 2", "names the log 1.gpx twice"],
    );
    refused(
        b"log,sortie\n1.gpx,a/b\n",
        &["line 2", "\"a/b\" cannot be the name of a sortie"],
    );
    refused(
        "log,pilot\n1.gpx,a\u{202e}b\n".as_bytes(),
        &["line 2", "cannot be the name of a pilot"],
    );
    refused(
        b"log,tasking\n1.gpx,1.toml\n\xFF.gpx,2.toml\n",
        &["line 3", "not UTF-8 text"],
    );
}

#[test]
fn what_is_asked_for_twice() {
    refused(
        b"log,tasking\n1.gpx,1.toml\n2.gpx,2.toml\n./1.gpx,1.toml\n",
        &["line 4", "the same log and tasking as line 2"],
    );
    refused(
        b"log,tasking\n1.gpx,1.toml\n\n2.gpx,1.toml\n",
        &[
            "line 4",
            "called \"Wren 1\"",
            "so is that of line 2",
            "column sortie",
            "--out",
        ],
    );
    refused(
        b"log,tasking\r\n1.gpx,1.toml\r\n\r\n\r\n2.gpx,1.toml\r\n",
        &["line 5", "so is that of line 2"],
    );
    refused(
        b"log,tasking\r\n1.gpx,1.toml\r\n\r\n2.gpx\r\n",
        &["line 4", "has 1 cells"],
    );
    // One folder where capitals make no difference.
    refused(
        b"log,tasking\n1.gpx,1.toml\n2.gpx,also-1.toml\n",
        &["line 3", "line 2"],
    );
    refused(b"log,sortie\n1.gpx,a\n2.gpx,A\n", &["line 3", "line 2"]);
    refused(
        b"log,tasking\n1.gpx,own.toml\n",
        &["line 2", "as a table of the batch is"],
    );
}

#[test]
fn there_is_none() {
    let field = Field::empty();
    let run = field.batch(&["m.csv"]);
    assert!(
        run.code == 3 && run.err.contains("no such file or folder"),
        "{}",
        run.err
    );
    assert_eq!(field.batch(&[]).code, 2);
    assert_eq!(field.batch(&["m.csv", "--threads", "0"]).code, 2);
    assert_eq!(field.batch(&["m.csv", "--track", "1"]).code, 2);
}

/// As spreadsheets write them.
#[test]
fn separators_marks_and_quotation_marks() {
    for manifest in [
        "\u{FEFF}Log,Tasking\r\n\"a, b.gpx\",\"t.toml\"\r\n,\r\n",
        "tasking;log\nt.toml;a, b.gpx\n;\n",
        "log\ttasking\na, b.gpx\tt.toml\n",
    ] {
        let field = Field::empty();
        field.put("in/a, b.gpx", &log(1));
        field.put("in/t.toml", &tasking("Wren 1"));
        field.put("in/m.csv", manifest);
        let run = field.batch(&["in/m.csv"]);
        assert!(
            run.code == 0 && run.out.contains("1 debriefed"),
            "{manifest}: {}",
            run.err
        );
        assert_eq!(field.results("out"), ["Wren 1"]);
    }
}
