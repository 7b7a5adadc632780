//! Through the program: logs as entries of `judge`, `ask`, `cases` and the job record.

use crate::bench::{Bench, verdict};

const BOOK: &str = "\
state ignition on
state shaken
  needs ignition on
reading feed
  unit V
  from 0 V to 32 V
  needs ignition on
  meter 0.1 V
reading command
  unit V
  needs ignition on
observation fan runs
  answers yes, no
fault loose pin
fault slow relay
fault sound wire
rule r1: feed below 20 V for at least 50 ms implies loose pin
rule r2: not feed below 20 V for at least 50 ms rules out sound wire
rule r3: not feed above 20 V within 200 ms after command above 10 V implies slow relay
";

/// A log every 10 ms: 25 V, but `low` V from 3 s on for `ms` milliseconds.
fn log(low: f64, ms: usize) -> String {
    let mut text = String::from("time (s),feed (V)\n");
    for n in 0..1_000 {
        let volts = if (300..300 + ms / 10).contains(&n) { low } else { 25.0 };
        text.push_str(&format!("{:.3},{volts:.2}\n", n as f64 / 100.0));
    }
    text
}

fn bench(log: &str) -> Bench {
    let bench = Bench::with(BOOK);
    bench.write("ride.csv", log);
    bench
}

const ENTER: &str = "with ignition on\nfeed from \"ride.csv\"\n";

#[test]
fn a_dropout_in_a_log_decides_a_rule() {
    let bench = bench(&log(3.0, 80));
    let answer = bench.answer(ENTER);
    assert_eq!(verdict(&answer, "loose pin"), "proved");
    let said = bench.run(&["judge", "book.rulebook"], ENTER);
    assert!(said.says(&["at 3 s for 80 ms, 3 V"]), "{said:?}");
    assert_eq!(said.status, 0, "{said:?}");
}

#[test]
fn none_in_the_log_is_told_from_one_too_short_to_see() {
    let quiet = bench(&log(25.0, 0));
    assert_eq!(verdict(&quiet.answer(ENTER), "sound wire"), "ruled_out");
    // Every 100 ms only: 50 ms of dropout fit between two samples.
    let coarse: String = std::iter::once("time (s),feed (V)\n".to_string())
        .chain((0..100).map(|n| format!("{:.1},25.00\n", n as f64 / 10.0)))
        .collect();
    let coarse = bench(&coarse);
    assert_eq!(verdict(&coarse.answer(ENTER), "sound wire"), "open");
    let asked = coarse.run(&["ask", "book.rulebook"], &format!("{ENTER}what decides sound wire\n"));
    assert!(asked.says(&["not known", "one could hide between samples 100 ms apart", "log faster"]), "{asked:?}");
}

#[test]
fn two_channels_of_one_log_are_compared_in_time() {
    let mut late = String::from("t_ms;command_V;feed_V\n");
    for n in 0..500 {
        let command = if n >= 100 { 12 } else { 0 };
        let feed = if n >= 140 { 25 } else { 0 };
        late.push_str(&format!("{};{command};{feed}\n", n * 10));
    }
    let bench = Bench::with(&BOOK.replace("rule r1: feed below 20 V for at least 50 ms implies loose pin\n", ""));
    bench.write("ride.csv", &late);
    let lines = "with ignition on\ncommand from \"ride.csv\" channel \"command\"\nfeed from \"ride.csv\" channel 2\n";
    let answer = bench.answer(lines);
    // 400 ms from the command to the feed, 200 ms allowed.
    assert_eq!(verdict(&answer, "slow relay"), "proved");
    // From two logs the times can't be compared.
    bench.write("other.csv", &late);
    let apart = lines.replace("feed from \"ride.csv\"", "feed from \"other.csv\"");
    assert_ne!(verdict(&bench.answer(&apart), "slow relay"), "proved");
}

#[test]
fn the_record_keeps_a_digest_and_a_changed_log_is_noticed() {
    let bench = bench(&log(3.0, 80));
    assert_eq!(bench.ask(ENTER).status, 0);
    let record = bench.read("a.job");
    assert!(record.contains("feed from \"ride.csv\" digest \""), "{record}");
    let again = bench.run(&["judge", "book.rulebook", "a.job"], "");
    assert_eq!((again.status, again.err.as_str()), (0, ""), "{again:?}");
    bench.write("ride.csv", &log(3.0, 90));
    let changed = bench.run(&["judge", "book.rulebook", "a.job"], "");
    assert_eq!(changed.status, 1, "{changed:?}");
    assert!(changed.says(&["job/log-changed", "it was changed since"]), "{changed:?}");
}

#[test]
fn the_plot_shows_the_dropout_in_eighty_columns_and_in_words() {
    let bench = bench(&log(3.0, 80));
    let shown = bench.run(&["ask", "book.rulebook"], &format!("{ENTER}plot feed\n"));
    let picture: Vec<&str> = shown.out.lines().filter(|line| line.contains('|')).collect();
    assert_eq!(picture.len(), 11, "{}", shown.out);
    assert!(picture.iter().all(|line| line.chars().count() <= 80));
    // The dropout reaches from the top to the bottom in one column, the rest stays on top.
    let drawn = |line: &str| line.matches(['#', '█']).count();
    assert!(picture.iter().all(|line| drawn(line) > 0), "{picture:#?}");
    assert!(drawn(picture.last().unwrap()) <= 2);
    assert!(shown.says(&["lowest 3 V, highest 25 V", "below 20 V for at least 50 ms: yes", "at 3 s for 80 ms"]));
}

#[test]
fn a_log_may_only_lie_beside_the_job() {
    let bench = bench(&log(3.0, 80));
    bench.write(
        "jobs/a.job",
        "with ignition on\nfeed from \"../ride.csv\"\nfeed from \"/etc/passwd\"\nfeed from \"none.csv\"\n",
    );
    let ran = bench.run(&["judge", "book.rulebook", "jobs/a.job"], "");
    assert_eq!(ran.status, 1);
    assert_eq!(ran.said().matches("it lies outside of the job's folder").count(), 2, "{ran:?}");
    assert!(ran.says(&["there is no such file"]), "{ran:?}");
    bench.write("jobs/ride.csv", &log(3.0, 80));
    bench.write("jobs/b.job", ENTER);
    assert_eq!(bench.run(&["judge", "book.rulebook", "jobs/b.job"], "").status, 0);
    #[cfg(unix)]
    {
        std::os::unix::fs::symlink(bench.path("ride.csv"), bench.path("jobs/link.csv")).unwrap();
        bench.write("jobs/c.job", "with ignition on\nfeed from \"link.csv\"\n");
        let link = bench.run(&["judge", "book.rulebook", "jobs/c.job"], "");
        assert!(link.says(&["it lies outside of the job's folder"]), "{link:?}");
    }
}

#[test]
fn take_back_and_what_if_work_on_logs() {
    let bench = bench(&log(3.0, 80));
    let lines = format!("{ENTER}take back\nwhat if feed from \"ride.csv\"\nfeed from \"ride.csv\"\n");
    let ran = bench.run(&["ask", "book.rulebook"], &lines);
    assert_eq!(ran.status, 0, "{ran:?}");
    assert_eq!(ran.out.matches("loose pin: proved").count(), 3, "{}", ran.out);
}

#[test]
fn every_layout_of_the_same_samples_reads_the_same() {
    let volts = |n: usize| if (40..60).contains(&n) { 3.0 } else { 25.0 };
    let rows = |row: &dyn Fn(usize) -> String| (0..200).map(row).collect::<String>();
    let comma = |value: f64| format!("{value:.2}").replace('.', ",");
    let layouts: Vec<(&str, String, &str)> = vec![
        ("points", format!("time (s),feed (V)\n{}", rows(&|n| format!("{:.2},{}\n", n as f64 / 100.0, volts(n)))), ""),
        (
            "decimal commas",
            format!("t_ms;feed [V]\r\n{}", rows(&|n| format!("{};{}\r\n", n * 10, comma(volts(n))))),
            "",
        ),
        (
            "millivolts",
            format!("time [ms]\tfeed [mV]\n{}", rows(&|n| format!("{}\t{}\n", n * 10, volts(n) * 1000.0))),
            "",
        ),
        (
            "a row of units",
            format!("logger 7\n\ntime,feed\ns,V\n{}", rows(&|n| format!("{:.2},{}\n", n as f64 / 100.0, volts(n)))),
            "",
        ),
        (
            "clock",
            format!(
                "clock;feed\n{}",
                rows(&|n| format!("23:59:{:02}.{:02};{}\n", 59 + n / 100 - 60 * (n / 100), n % 100, volts(n))
                    .replace("23:59:00", "00:00:00"))
            ),
            "",
        ),
        (
            "dates",
            format!(
                "when,feed V\n{}",
                rows(&|n| format!("2026-11-25T10:00:{:02}.{:02}Z,{}\n", n / 100, n % 100, volts(n)))
            ),
            "",
        ),
        ("no header", rows(&|n| format!("{},{}\n", n * 10, volts(n))), ", time in ms"),
        ("no times", format!("feed\n{}", rows(&|n| format!("{}\n", volts(n)))), " every 10 ms"),
        (
            "told",
            rows(&|n| format!("{}|{}|x\n", comma(volts(n)), n * 10)),
            " channel 1 separator \"|\", decimal comma, time column 2 in ms",
        ),
        (
            "quotes and a mark",
            format!(
                "\u{FEFF}\"time (s)\",\"feed (V)\"\n{}",
                rows(&|n| format!("\"{:.2}\",\"{}\"\n", n as f64 / 100.0, volts(n)))
            ),
            "",
        ),
    ];
    for (name, text, told) in layouts {
        let bench = bench(&text);
        let line = format!("with ignition on\nfeed from \"ride.csv\"{told}\n");
        let ran = bench.run(&["judge", "book.rulebook"], &line);
        assert!(ran.says(&["Proved: loose pin", "for 200 ms, 3 V"]), "{name}: {ran:?}");
        assert_eq!(ran.status, 0, "{name}: {ran:?}");
    }
}
