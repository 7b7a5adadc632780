//! `ruleout circuit`: the table for people and machines, the drawing, and what it refuses.

use std::process::{Command, Output};

const FAN: &str = "tests/corpus/circuits/fan-feed.rulebook";
const CHECK: &str = "tests/corpus/circuits/reference.rulebook";

fn ruleout(arguments: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_ruleout"));
    command
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .env("COLUMNS", "100")
        .arg("circuit")
        .args(arguments)
        .output()
        .unwrap()
}

fn said(arguments: &[&str], status: i32) -> (String, String) {
    let output = ruleout(arguments);
    let (out, err) = (String::from_utf8(output.stdout).unwrap(), String::from_utf8(output.stderr).unwrap());
    assert_eq!(output.status.code(), Some(status), "{out}\n{err}");
    (out, err)
}

#[test]
fn the_table_has_each_reading_under_each_setup_with_each_fault() {
    let (text, _) = said(&[FAN], 0);
    assert!(text.starts_with("Circuit fan feed (tests/corpus/circuits/fan-feed.rulebook:"), "{text}");
    for wanted in [
        // By hand: the most lost is 24 V · 0.0706 ohm / 2.97 ohm = 0.57 V, the least 26 V · 0.0413 ohm / 4.38 ohm = 0.245 V.
        "  supply at fan connector, with ignition on, cooling demanded:\n    nothing wrong: 23.42 V to 25.76 V\n",
        "  supply at fan connector, with ignition on, cooling demanded, fan unplugged:\n",
        "    blown fan fuse: 0 V\n      only speaks against: `harness plug` hangs free there; a 10 Mohm meter may show a ghost\n        voltage, a test lamp or low-impedance meter does not\n      the same with open relay coil, blown control fuse, open control wire, open feed wire\n",
        // A change that alters nothing has its line and no more.
        "  battery voltage, with everything normal:\n  battery voltage, with relay swapped:\n  battery voltage, with fan unplugged:\n    as entered: the circuit takes it for the battery's own voltage\n    flat batteries: 18 V to 23.5 V\n",
        "    seized motor: 24.46 A to 41.24 A (relay `K2` pulled in), or 0 A (fuse `F3` opens, if at all: up",
    ] {
        assert!(text.contains(wanted), "no {wanted:?} in\n{text}");
    }
}

#[test]
fn one_setup_and_some_faults_can_be_asked_for() {
    let (text, _) = said(&[FAN, "--setup", "with cooling demanded", "--fault", "Bad fan  ground"], 0);
    assert!(
        // The battery is read within its tolerance with the fault in place: 26 V · 20.008 ohm / 22.94 ohm = 22.68 V at most.
        text.contains("bad fan ground: 1.56 V to 22.68 V")
            && !text.contains("worn brushes")
            && !text.contains("idle supply"),
        "{text}"
    );
}

/// With the pack's fuse blown the blower runs on high as ever: its feed bypasses the pack, and nothing else may be foretold.
#[test]
fn a_fault_that_alters_nothing_shows_the_same() {
    let (text, _) = said(
        &[
            "rulebooks/cabin-blower.rulebook",
            "--fault",
            "blown thermal fuse of the pack",
            "--fault",
            "blown blower fuse",
        ],
        0,
    );
    let high = "supply at blower relay, with ignition on, blower position is high:\n";
    let wanted = "    nothing wrong: 11.18 V to 14.63 V\n      the same with blown thermal fuse of the pack\n";
    let block = text.split("\n\n").find(|block| block.contains(high)).unwrap();
    assert!(block.contains(wanted), "{block}");
    assert!(text.contains("only speaks against: `t30` and `t87` hang free there;"), "{text}");
}

#[test]
fn the_table_is_there_for_machines() {
    let (json, _) = said(&[CHECK, "--setup", "with fan unplugged", "--format", "json"], 0);
    let json: serde_json::Value = serde_json::from_str(&json).unwrap();
    assert_eq!(json["schema"], "ruleout/circuit/1");
    let rows = json["circuits"][0]["readings"].as_array().unwrap();
    let row = rows.iter().find(|row| row["reading"] == "volts at w").unwrap();
    assert_eq!((row["unit"].as_str(), row["setup"].as_str()), (Some("V"), Some("with fan unplugged")));
    let ground = row["expected"].as_array().unwrap().iter().find(|cell| cell["fault"] == "open ground").unwrap();
    // Source: tests/reference/dc_circuits.csv, open_ground, unplugged, w.
    assert!((ground["outcomes"][0]["low"].as_f64().unwrap() - 12.596_502_807).abs() < 1e-6);
    assert_eq!((ground["kind"].as_str(), ground["exact"].as_bool()), (Some("told"), Some(false)));
}

#[test]
fn the_drawing_says_in_words_what_it_draws() {
    let (svg, _) = said(&[CHECK, "--fault", "open ground", "--format", "svg"], 0);
    assert!(
        svg.starts_with("<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=") && svg.ends_with("</svg>\n"),
        "{svg}"
    );
    for wanted in [
        "role=\"img\"",
        "<title id=\"title\">fan feed, with everything normal, open ground</title>",
        // Source: tests/reference/dc_circuits.csv, open_ground, plugged: battery voltage on both sides of the motor.
        "c 12.60 V; m 12.60 V",
        ">m: 12.60 V</text>",
        "wire G1 from m to ground, open",
        "class=\"fault\"",
        ">fault: open ground</text>",
        "relay `K1` pulled in",
    ] {
        assert!(svg.contains(wanted), "no {wanted} in\n{svg}");
    }
    assert!(!svg.contains("<script") && !svg.contains("href"), "{svg}");
    // Every tag is closed.
    for tag in ["text", "g", "title", "desc", "style"] {
        let opened = svg.matches(&format!("<{tag}>")).count() + svg.matches(&format!("<{tag} ")).count();
        assert_eq!(opened, svg.matches(&format!("</{tag}>")).count(), "{tag}");
    }
    let numbers = svg.split('"').filter(|text| text.contains("NaN") || text.contains("inf")).count();
    assert_eq!(numbers, 0);
}

#[test]
fn what_is_not_there_is_refused_with_the_nearest_name() {
    let (_, err) = said(&[FAN, "--fault", "open fed wire"], 2);
    assert!(err.contains("this book has no fault `open fed wire`; did you mean `open feed wire`?"), "{err}");
    let (_, err) = said(&[FAN, "--circuit", "fan fed"], 2);
    assert!(err.contains("did you mean `fan feed`?"), "{err}");
    let (_, err) = said(&[FAN, "--setup", "cooling demanded"], 2);
    assert!(err.contains("--setup \"with cooling demanded\""), "{err}");
    let (_, err) = said(&[FAN, "--setup", "with coling demanded"], 2);
    assert!(err.contains("did you mean `cooling demanded`?"), "{err}");
    let (_, err) = said(&["tests/corpus/circuits/none.rulebook"], 2);
    assert!(err.contains("none.rulebook"), "{err}");
}
