//! Files of readings and of lives, as somebody at a desk would hand them over.

use std::fs;
use std::process::{Command, Output};

use serde_json::Value;

/// NIST Statistical Reference Datasets, linear regression, Norris.
const NORRIS: &str = "\
use,length_mm
0.2,0.1\n337.4,338.8\n118.2,118.1\n884.6,888.0\n10.1,9.2\n226.5,228.1\n666.3,668.5\n996.3,998.5\n448.6,449.1
777.0,778.9\n558.2,559.2\n0.4,0.3\n0.6,0.1\n775.5,778.1\n666.9,668.8\n338.0,339.3\n447.5,448.9\n11.6,10.8
556.0,557.7\n228.1,228.3\n995.8,998.0\n887.6,888.8\n120.2,119.6\n0.3,0.3\n0.3,0.6\n556.8,557.6\n339.1,339.3
887.2,888.0\n999.0,998.5\n779.0,778.9\n11.1,10.2\n118.3,117.6\n229.2,228.9\n669.1,668.4\n448.9,449.2\n0.5,0.2
";
/// NIST/SEMATECH e-Handbook of Statistical Methods, 8.2.2.1: ten of twenty failed, ten were taken away at 500 h.
const HANDBOOK: &str = "\
age,failed
54,1\n187,1\n216,1\n240,1\n244,1\n335,1\n361,1\n373,1\n375,1\n386,1
500,0\n500,0\n500,0\n500,0\n500,0\n500,0\n500,0\n500,0\n500,0\n500,0
";

fn run(command: &str, file: impl AsRef<[u8]>, more: &[&str]) -> Output {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("file.csv");
    fs::write(&path, file).expect("the file can be written");
    Command::new(env!("CARGO_BIN_EXE_roundhand"))
        .arg(command)
        .arg(path)
        .args(more)
        .output()
        .expect("the program runs")
}

fn found(command: &str, file: impl AsRef<[u8]>, more: &[&str]) -> Value {
    let ran = run(command, file, more);
    let said = String::from_utf8_lossy(&ran.stderr);
    assert_eq!(ran.status.code(), Some(0), "{said}");
    serde_json::from_slice(&ran.stdout).expect("one JSON object")
}

/// What is said of a file that tells nothing, which ends with 2 and prints no object.
fn refused(command: &str, file: impl AsRef<[u8]>, more: &[&str]) -> String {
    let ran = run(command, file, more);
    assert_eq!(ran.status.code(), Some(2));
    assert!(ran.stdout.is_empty());
    String::from_utf8(ran.stderr).expect("text")
}

#[track_caller]
fn close(found: &Value, expected: f64, relative: f64) {
    let found = found.as_f64().expect("a number");
    let off = (found - expected).abs() / expected.abs();
    assert!(off <= relative, "{found}, not {expected}");
}

fn lines(of: &Value) -> Vec<u64> {
    let rows = of.as_array().expect("rows");
    rows.iter()
        .map(|row| row["line"].as_u64().expect("a line"))
        .collect()
}

/// A brush as the class has it, that loses 2.2 mm in 30 uses.
fn brush(readings: u32) -> String {
    let rows = (1..=readings).map(|nth| {
        let nth = f64::from(nth);
        format!("{},{:.1}\n", 30.0 * nth, 134.0 - 2.2 * nth)
    });
    format!("use,length_mm\n{}", rows.collect::<String>())
}

/// NIST Statistical Reference Datasets, Norris: certified values.
#[test]
fn with_nothing_but_the_readings_the_line_is_the_certified_one() {
    let fit = &found("wear", NORRIS, &["--flat-prior"])["fit"];
    close(&fit["intercept"], -0.262_323_073_774_029, 1e-9);
    close(&fit["intercept_se"], 0.232_818_234_301_152, 1e-9);
    close(&fit["slope"], 1.002_116_818_020_45, 1e-9);
    close(&fit["slope_se"], 0.429_796_848_199_937e-3, 1e-9);
    close(&fit["residual_sd"], 0.884_796_396_144_373, 1e-9);
    close(&fit["r_squared"], 0.999_993_745_883_712, 1e-9);
}

#[test]
fn a_line_that_rises_names_no_finite_use() {
    let found = found("wear", NORRIS, &["--flat-prior", "--limit", "5"]);
    for chance in ["p10", "p50", "p90"] {
        assert_eq!(found["remaining_use"][chance], Value::Null);
    }
}

#[test]
fn a_brush_has_its_line_and_what_is_left_of_it() {
    let found = found("wear", brush(10), &["--limit", "60"]);
    close(&found["fit"]["slope"], -2.2 / 30.0, 0.1);
    assert_eq!(
        (&found["readings"], &found["used"]),
        (&10.into(), &300.0.into())
    );
    let left = |chance: &str| found["remaining_use"][chance].as_f64().expect("a use");
    // The straight line takes (112 - 60) ÷ 2.2 × 30 = 709 more; a brush that eases takes somewhat longer.
    assert!(left("p10") < 709.0 && left("p90") > 709.0);
    assert!(left("p10") < left("p50") && left("p50") < left("p90"));
}

#[test]
fn a_class_of_another_unit_is_told_by_its_length_and_life() {
    // Metres, of which a brush lasts 300,000.
    let text = "use,length_mm\n10000,118\n20000,116\n30000,114\n";
    let more = ["--start", "120", "--limit", "60", "--life", "300000"];
    let found = found("wear", text, &more);
    let left = found["remaining_use"]["p50"].as_f64().expect("a use");
    assert!((200_000.0..400_000.0).contains(&left), "{left}");
}

#[test]
fn a_wrong_reading_is_doubted_by_its_line_and_moves_nothing() {
    let sound = found("wear", brush(10), &[]);
    let wrong = brush(10) + "300,86.6\n";
    let doubting = found("wear", wrong, &[]);
    assert_eq!(lines(&doubting["doubted"]), [12]);
    assert_eq!(doubting["fit"], sound["fit"]);
}

#[test]
fn a_reading_that_the_next_one_confirms_is_not_doubted() {
    let twice = brush(10) + "300,86.6\n300,87\n";
    let found = found("wear", twice, &[]);
    assert_eq!(
        (lines(&found["doubted"]), &found["readings"]),
        (vec![], &12.into())
    );
}

#[test]
fn each_row_that_cannot_be_is_refused_by_its_line() {
    let text = "\u{feff}use , length_mm\r\n 30 , 131.8 \r\n60,long\r\n90\r\n\r\n120,\r\n150,-3\r\n-1,120\r\n180,inf\r\n210,118.5,x\r\n240,116\r\n";
    let found = found("wear", text, &[]);
    assert_eq!(lines(&found["refused"]), [3, 4, 6, 7, 8, 9, 10]);
    assert_eq!(found["readings"], 2);
    let reasons: Vec<&str> = found["refused"]
        .as_array()
        .expect("rows")
        .iter()
        .map(|row| row["reason"].as_str().expect("a reason"))
        .collect();
    for (reason, says) in reasons.iter().zip([
        "`length_mm` is no number: `long`",
        "1 cells under 2 columns",
        "`length_mm` is empty",
        "`length_mm` is below zero",
        "`use` is below zero",
        "`length_mm` is no number: `inf`",
        "3 cells under 2 columns",
    ]) {
        assert!(reason.contains(says), "{reason}");
    }
}

#[test]
fn a_file_that_tells_nothing_says_why() {
    for (text, says) in [
        (&b""[..], "it is empty: begin with a line `use,length_mm`"),
        (
            b"use,length\n1,2\n",
            "line 1: there is no column `length_mm`",
        ),
        (b"use,length_mm\n", "there is no reading in it"),
        (b"use,length_mm\n1,x\n", "line 2: `length_mm` is no number"),
        (b"use,length_mm\n1,\xff\n", "no text in UTF-8"),
    ] {
        let said = refused("wear", text, &[]);
        assert!(said.contains(says), "{said}");
    }
    let two = refused("wear", "use,length_mm\n1,9\n2,8\n", &["--flat-prior"]);
    assert!(two.contains("too few readings"), "{two}");
    for command in ["wear", "life"] {
        let ran = Command::new(env!("CARGO_BIN_EXE_roundhand"))
            .args([command, "no-such-file.csv"])
            .output()
            .expect("the program runs");
        let said = String::from_utf8_lossy(&ran.stderr);
        assert!(ran.status.code() == Some(2) && said.contains("cannot read no-such-file.csv"));
    }
}

#[test]
fn a_limit_is_a_length() {
    for limit in ["0", "-5", "nan", "short"] {
        let ran = run("wear", brush(3), &["--limit", limit]);
        assert_eq!(ran.status.code(), Some(2), "{limit}");
    }
}

/// NIST e-Handbook 8.4.1.3: shape and scale as printed; the limits by lifelines 0.30.3.
#[test]
fn the_handbook_lives_have_the_printed_shape_and_scale() {
    let found = found("life", HANDBOOK, &[]);
    let fit = &found["fit"];
    close(&fit["shape"], 1.720_797_26, 1e-7);
    close(&fit["scale"], 606.527_558, 1e-7);
    close(&fit["shape_low"], 0.971_266, 1e-5);
    close(&fit["shape_high"], 3.048_746, 1e-5);
    close(&fit["scale_low"], 405.089_3, 1e-5);
    close(&fit["scale_high"], 908.134_7, 1e-5);
    close(&found["life"]["p10"], 164.022_439, 1e-7);
    close(&found["life"]["p50"], 490.173_781, 1e-7);
    assert_eq!(
        (&fit["failures"], &fit["unfailed"]),
        (&10.into(), &10.into())
    );
}

#[test]
fn lives_that_cannot_be_are_refused_by_their_line() {
    let text = "\u{feff}age,failed\n100,1\n-5,1\n0,0\n120,yes\n130,2\n140,0\n,1\n150,1\n";
    let found = found("life", text, &[]);
    assert_eq!(lines(&found["refused"]), [3, 4, 5, 6, 8]);
    assert_eq!(found["fit"]["failures"], 2);
}

#[test]
fn lives_that_tell_no_shape_say_why() {
    let none = refused("life", "age,failed\n5,0\n7,0\n", &[]);
    assert!(none.contains("none has failed yet"), "{none}");
    let same = refused("life", "age,failed\n5,1\n5,1\n4,0\nx,1\n", &[]);
    assert!(
        same.contains("the shape has no bound") && same.contains("line 5:"),
        "{same}"
    );
    let empty = refused("life", "age,failed\n", &[]);
    assert!(empty.contains("there are no lives"), "{empty}");
    // With a shape given they tell a scale.
    let given = found("life", "age,failed\n5,1\n5,1\n4,0\n", &["--shape", "3"]);
    assert_eq!(
        (&given["fit"]["shape"], &given["fit"]["shape_low"]),
        (&3.0.into(), &Value::Null)
    );
    assert!(refused("life", HANDBOOK, &["--shape=-1"]).contains("a shape is above zero"));
}
