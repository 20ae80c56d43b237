//! The work in words: whether the courts were looked after, what was missed, which are not fit,
//! how the brushes stand.

use trade::units::{Micrometres, Seconds};

use super::{Voice, listed};
use crate::desk::reports::figures::{Miss, MissKind, Turnarounds, Wear, WeekReport};
use crate::mail::sheet::{Fact, Item, Part, Row, Section, Table, Tone};
use crate::store::holds::HoldReason;
use crate::store::orders::{Fit, UndoneReason};
use crate::words::shown::date_short;
use crate::words::{knows, say, say_with};

/// From which share of turnarounds done in time, percent, a week is told as well looked after, and from
/// which as mostly. Our own choice.
const WELL: i64 = 95;
const MOSTLY: i64 = 80;
/// Most misses of one cause that the mail tells one by one.
const MOST_OF_A_CAUSE: usize = 3;
/// Most brushes that the mail lists; the figures have them all.
const MOST_BRUSHES: usize = 12;

/// The sentence that says whether the courts were looked after, and how well.
pub(super) fn verdict(told: &Turnarounds) -> (String, Tone) {
    let missed = told.due - told.in_time;
    let (key, tone) = if told.due == 0 {
        ("week-report-verdict-nothing-due", Tone::Plain)
    } else if missed == 0 {
        ("week-report-verdict-all", Tone::Good)
    } else if told.in_time * 100 >= told.due * WELL {
        ("week-report-verdict-well", Tone::Good)
    } else if told.in_time * 100 >= told.due * MOSTLY {
        ("week-report-verdict-mostly", Tone::Mixed)
    } else {
        ("week-report-verdict-poorly", Tone::Bad)
    };
    let causes: Vec<String> = [
        ("week-report-cause-late", told.finished - told.in_time),
        ("week-report-cause-left-undone", told.left_undone),
        ("week-report-cause-not-given-back", told.not_given_back),
        ("week-report-cause-not-fitted", told.not_fitted),
        ("week-report-cause-not-planned", told.not_planned),
    ]
    .into_iter()
    .filter(|(_, number)| *number > 0)
    .map(|(key, number)| say_with(key, &[("number", number.into())]))
    .collect();
    let sentence = say_with(
        key,
        &[
            ("due", told.due.into()),
            ("in_time", told.in_time.into()),
            ("causes", listed(&causes).into()),
        ],
    );
    (sentence, tone)
}

/// The turnarounds, and the care beside them.
pub(super) fn courts(figures: &WeekReport, voice: &Voice) -> Section {
    let told = &figures.turnarounds;
    let care = &figures.care;
    let mut facts = vec![number("week-report-due", told.due)];
    if told.due > 0 {
        facts.push(Fact {
            name: say("week-report-in-time"),
            value: say_with(
                "week-report-in-time-value",
                &[
                    ("number", told.in_time.into()),
                    ("percent", percent(told.in_time, told.due).into()),
                ],
            ),
        });
        facts.push(Fact {
            name: say("week-report-finished"),
            value: say_with(
                "week-report-finished-value",
                &[
                    ("number", told.finished.into()),
                    ("short", told.finished_short.into()),
                ],
            ),
        });
    }
    for (key, count) in [
        ("week-report-left-undone", told.left_undone),
        ("week-report-not-given-back", told.not_given_back),
        ("week-report-not-fitted", told.not_fitted),
        ("week-report-not-planned", told.not_planned),
        ("week-report-to-come", told.to_come),
    ] {
        if count > 0 {
            facts.push(number(key, count));
        }
    }
    if care.due > 0 {
        facts.push(Fact {
            name: say("week-report-care"),
            value: say_with(
                "week-report-care-value",
                &[("finished", care.finished.into()), ("due", care.due.into())],
            ),
        });
    }
    let mut parts = vec![Part::Facts(facts)];
    if !told.misses.is_empty() {
        parts.push(Part::Words(say("week-report-misses")));
        parts.push(Part::Items(misses(figures, voice)));
    }
    Section {
        title: say("week-report-courts-title"),
        parts,
    }
}

fn number(key: &str, number: i64) -> Fact {
    Fact {
        name: say(key),
        value: number.to_string(),
    }
}

/// A share in percent with at most one decimal, never rounded up: 100 means all.
fn percent(part: i64, whole: i64) -> String {
    let tenths = part * 1_000 / whole.max(1);
    match (tenths / 10, tenths % 10) {
        (whole, 0) => whole.to_string(),
        (whole, tenth) => format!("{whole}.{tenth}"),
    }
}

/// What was missed: a cause of many in one entry, the others one by one. The figures have them all.
fn misses(figures: &WeekReport, voice: &Voice) -> Vec<Item> {
    let mut causes: Vec<(Cause, Vec<&Miss>)> = Vec::new();
    for miss in &figures.turnarounds.misses {
        let cause = cause(miss);
        match causes.iter_mut().find(|(of, _)| *of == cause) {
            Some((_, of_it)) => of_it.push(miss),
            None => causes.push((cause, vec![miss])),
        }
    }
    causes.sort_by_key(|(_, of_it)| std::cmp::Reverse(of_it.len()));
    causes
        .iter()
        .flat_map(|(_, of_it)| {
            if of_it.len() > MOST_OF_A_CAUSE {
                vec![together(of_it, figures, voice)]
            } else {
                of_it.iter().map(|miss| missed(miss, voice)).collect()
            }
        })
        .collect()
}

type Cause<'a> = (MissKind, Option<&'a str>);

fn cause(miss: &Miss) -> Cause<'_> {
    let undone = miss.undone_reason.map(UndoneReason::as_str);
    (miss.kind, undone.or(miss.unfitted_reason.as_deref()))
}

/// Misses of one cause in one entry: how many, why, on which courts and days most.
fn together(of_it: &[&Miss], figures: &WeekReport, voice: &Voice) -> Item {
    let (kind, reason) = cause(of_it[0]);
    let key = match kind {
        MissKind::Late => "week-report-cause-late",
        MissKind::LeftUndone => "week-report-cause-left-undone",
        MissKind::NotGivenBack => "week-report-cause-not-given-back",
        MissKind::NotFitted => "week-report-cause-not-fitted",
        MissKind::NotPlanned => "week-report-cause-not-planned",
    };
    let mut parts = Vec::new();
    if let Some(longest) = of_it.iter().filter_map(|miss| miss.late_s).max() {
        parts.push(say_with(
            "week-report-up-to",
            &[("late", Seconds(longest).show().into())],
        ));
    }
    parts.extend(why_key(reason).map(|key| say(&key)));
    let places = figures.cost.courts.iter().map(|court| court.court.clone());
    parts.push(counted(places, |name| {
        of_it.iter().filter(|miss| miss.place == *name).count()
    }));
    let days = figures.from.iter_days().take(7);
    parts.push(counted(days.map(|day| voice.weekday(day)), |name| {
        let on = of_it
            .iter()
            .map(|miss| voice.weekday(voice.date(miss.due_at)));
        on.filter(|day| day == name).count()
    }));
    parts.retain(|part| !part.is_empty());
    Item {
        about: say_with(key, &[("number", of_it.len().into())]),
        words: parts.join("; "),
    }
}

/// `Court 3 (6), Court 4 (5)`: in order, what does not occur left out.
fn counted(names: impl Iterator<Item = String>, number: impl Fn(&String) -> usize) -> String {
    let parts: Vec<String> = names
        .map(|name| (number(&name), name))
        .filter(|(number, _)| *number > 0)
        .map(|(number, name)| {
            say_with(
                "week-report-counted",
                &[("name", name.into()), ("number", number.into())],
            )
        })
        .collect();
    parts.join(", ")
}

fn missed(miss: &Miss, voice: &Voice) -> Item {
    let (kind, reason) = cause(miss);
    let mut words = match kind {
        MissKind::Late => say_with(
            "week-report-miss-late",
            &[("late", Seconds(miss.late_s.unwrap_or(0)).show().into())],
        ),
        MissKind::LeftUndone => because(
            "week-report-miss-left-undone",
            "week-report-miss-left-undone-because",
            reason,
        ),
        MissKind::NotGivenBack => say("week-report-miss-not-given-back"),
        MissKind::NotFitted => because(
            "week-report-miss-not-fitted",
            "week-report-miss-not-fitted-because",
            reason,
        ),
        MissKind::NotPlanned => say("week-report-miss-not-planned"),
    };
    if let Some(note) = &miss.note {
        let note = super::one_line(note);
        words = say_with(
            "week-report-miss-note",
            &[("words", words.into()), ("note", note.into())],
        );
    }
    Item {
        about: say_with(
            "week-report-miss-about",
            &[
                ("place", miss.place.as_str().into()),
                ("moment", voice.moment(miss.due_at).into()),
            ],
        ),
        words,
    }
}

/// What happened, and why where the reason is a known one.
fn because(plain: &str, with_reason: &str, reason: Option<&str>) -> String {
    match why_key(reason) {
        Some(why) => say_with(with_reason, &[("why", say(&why).into())]),
        None => say(plain),
    }
}

/// The key of a reason, where it is a known one.
fn why_key(reason: Option<&str>) -> Option<String> {
    let key = format!("week-report-why-{}", reason?.replace('_', "-"));
    knows(&key).then_some(key)
}

/// The key of why a court is held.
fn hold_key(reason: HoldReason) -> String {
    format!("hold-{}", reason.as_str().replace('_', "-"))
}

pub(super) fn not_fit(figures: &WeekReport, voice: &Voice) -> Option<Section> {
    if figures.not_fit.is_empty() {
        return None;
    }
    let items = figures.not_fit.iter().map(|court| {
        let since = voice.moment(court.since);
        let picked = court.hold_reason.filter(|why| *why != HoldReason::Other);
        let reason = match (picked, &court.reason) {
            (_, Some(own)) => Some(super::one_line(own)),
            (Some(picked), None) => Some(say(&hold_key(picked))),
            (None, None) => None,
        };
        let words = match (court.fit, court.until, reason) {
            (Fit::Held, _, Some(reason)) => say_with(
                "week-report-held-because",
                &[("since", since.into()), ("reason", reason.into())],
            ),
            (Fit::Held, _, None) => say_with("week-report-held", &[("since", since.into())]),
            (_, Some(until), _) => say_with(
                "week-report-not-yet-until",
                &[
                    ("since", since.into()),
                    ("until", voice.moment(until).into()),
                ],
            ),
            (_, None, _) => say_with("week-report-not-yet", &[("since", since.into())]),
        };
        Item {
            about: court.court.clone(),
            words,
        }
    });
    Some(Section {
        title: say("week-report-not-fit-title"),
        parts: vec![Part::Items(items.collect())],
    })
}

pub(super) fn brushes(figures: &WeekReport, voice: &Voice) -> Option<Section> {
    let all = &figures.brushes;
    if all.is_empty() {
        return None;
    }
    let of = |wear| all.iter().filter(|brush| brush.wear == wear).count();
    let counted = [
        ("week-report-brushes-worn-out", of(Wear::WornOut)),
        ("week-report-brushes-near", of(Wear::Near)),
        ("week-report-brushes-sound", of(Wear::Sound)),
        ("week-report-brushes-not-measured", of(Wear::NotMeasured)),
    ];
    let counted: Vec<String> = counted
        .into_iter()
        .filter(|(_, number)| *number > 0)
        .map(|(key, number)| say_with(key, &[("number", number.into())]))
        .collect();
    let mut parts = vec![Part::Words(say_with(
        "week-report-brushes",
        &[
            ("number", all.len().into()),
            ("counted", listed(&counted).into()),
        ],
    ))];
    // The sound ones need no line each; the one that wears out first is worth a look.
    let measured = all.iter().filter(|brush| brush.length_um.is_some());
    let rows: Vec<Row> = measured
        .enumerate()
        .take_while(|(place, brush)| *place == 0 || brush.wear != Wear::Sound)
        .take(MOST_BRUSHES)
        .map(|(_, brush)| {
            let show = |um| Micrometres(um).show(voice.units());
            Row {
                cells: vec![
                    say_with(
                        "week-report-brush",
                        &[
                            ("class", brush.class.as_str().into()),
                            ("number", brush.tool.as_str().into()),
                        ],
                    ),
                    brush.length_um.map(show).unwrap_or_default(),
                    show(brush.limit_um),
                ],
                below: brush.measured_on.map(|on| {
                    let key = match brush.wear {
                        Wear::WornOut => "week-report-brush-worn-out",
                        Wear::Near => "week-report-brush-near",
                        _ => "week-report-brush-sound",
                    };
                    say_with(key, &[("date", date_short(on).into())])
                }),
                is_sum: false,
            }
        })
        .collect();
    if !rows.is_empty() {
        parts.push(Part::Table(Table {
            head: [
                "week-report-brush-head",
                "week-report-reading-head",
                "week-report-limit-head",
            ]
            .map(say)
            .to_vec(),
            rows,
        }));
    }
    Some(Section {
        title: say("week-report-brushes-title"),
        parts,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk::reports::tell::sample;

    fn told(due: i64, in_time: i64) -> Turnarounds {
        Turnarounds {
            due,
            in_time,
            finished: in_time,
            left_undone: due - in_time,
            ..Turnarounds::default()
        }
    }

    #[test]
    fn the_sentence_follows_the_figures() {
        let tone = |due, in_time| verdict(&told(due, in_time)).1;
        assert_eq!(tone(0, 0), Tone::Plain);
        assert_eq!(tone(20, 20), Tone::Good);
        assert_eq!(tone(20, 19), Tone::Good);
        assert_eq!(tone(20, 18), Tone::Mixed);
        assert_eq!(tone(20, 16), Tone::Mixed);
        assert_eq!(tone(20, 15), Tone::Bad);
        let (words, _) = verdict(&Turnarounds {
            due: 20,
            in_time: 15,
            finished: 17,
            left_undone: 1,
            not_fitted: 2,
            ..Turnarounds::default()
        });
        assert_eq!(
            words,
            "The courts were not looked after as they should be: only 15 of 20 turnarounds \
             were done in time for play; 2 were late, 1 was left undone and 2 did not fit into the day."
        );
    }

    #[test]
    fn many_misses_of_one_cause_are_one_entry_by_court_and_day() {
        let mut figures = sample::week();
        let one = figures.turnarounds.misses[2].clone();
        for (place, due_at) in [
            ("Court 1", "2031-06-09T17:00:00Z"),
            ("Court 2", "2031-06-09T17:00:00Z"),
            ("Stadium court", "2031-06-15T17:00:00Z"),
        ] {
            let due_at = due_at.parse::<chrono::DateTime<chrono::Utc>>().unwrap();
            figures.turnarounds.misses.push(Miss {
                place: place.into(),
                due_at: due_at.into(),
                ..one.clone()
            });
        }
        let items = misses(&figures, &Voice::of(&figures));
        assert_eq!(items.len(), 4);
        assert_eq!(items[0].about, "4 did not fit into the day");
        assert_eq!(
            items[0].words,
            "the crews were busy elsewhere; Court 1 (2), Court 2 (1), Stadium court (1); \
             Mon (2), Sat (1), Sun (1)"
        );
    }

    #[test]
    fn a_share_is_never_rounded_up_to_all() {
        assert_eq!(percent(1_999, 2_000), "99.9");
        assert_eq!(percent(20, 20), "100");
        assert_eq!(percent(0, 0), "0");
    }
}
