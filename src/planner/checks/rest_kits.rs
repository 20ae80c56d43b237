//! Statements about the tools of the rest of a day: who holds them, and who loses one that is broken.

use super::builder::*;
use super::rest::{at, four, rest};
use crate::problem::Problem;
use crate::rest::{Change, Note, Rest};

#[test]
fn a_crew_on_the_court_keeps_its_kit_and_one_at_home_chooses() {
    let (mut p, _) = four();
    p.tools = vec![tool("roller", 1)];
    p.visits[0].ways = vec![way(&["roller"], 600, 0)];
    p.crews[1].shift = [2500, 10_000];
    let plan = planned(&p);
    let (r, _) = rest(&p, &plan, &at(2300));
    let crews = &r.problem.problem().crews;
    assert_eq!(crews[0].kit.as_deref(), Some(&["roller".to_owned()][..]));
    assert_eq!(crews[1].kit, None);
}

#[test]
fn a_broken_tool_is_lost_to_the_crew_with_the_least_left_to_do_with_it() {
    let (mut p, _) = four();
    p.tools = vec![tool("roller", 2)];
    for v in &mut p.visits[..3] {
        v.ways = vec![way(&["roller"], 600, 0)];
    }
    let plan = planned(&p);
    let mut news = at(2300);
    let broken = |crew: Option<&str>| Change::ToolBroken {
        class: "roller".to_owned(),
        how_many: 1,
        crew: crew.map(str::to_owned),
    };
    let lost = |crew: &str| Note::ToolLost {
        crew: crew.to_owned(),
        class: "roller".to_owned(),
    };
    news.changes = vec![broken(None)];
    let (r, after) = rest(&p, &plan, &news);
    assert_eq!(r.notes, [lost("two")], "it has nothing left to roll");
    assert_eq!(stop(&after, "c").0, "one");
    news.changes = vec![broken(Some("one"))];
    let (r, after) = rest(&p, &plan, &news);
    assert_eq!(r.notes, [lost("one")]);
    assert_eq!(stop(&after, "c").0, "two");
}

#[test]
fn a_tool_that_breaks_while_its_crew_finishes_what_is_running_is_lost_to_that_crew() {
    let (mut p, _) = four();
    p.tools = vec![tool("roller", 2)];
    for v in &mut p.visits[..3] {
        v.ways = vec![way(&["roller"], 600, 0)];
    }
    // Crew three still chooses, and its hours are over before one and two come free.
    p.crews.push(crew("three"));
    (p.crews[2].shift, p.crews[2].overtime_until) = ([2400, 2500], 2500);
    let plan = planned(&p);
    let broken = |how_many: i64, crew: Option<&str>| {
        let mut news = at(2300);
        news.changes = vec![Change::ToolBroken {
            class: "roller".to_owned(),
            how_many,
            crew: crew.map(str::to_owned),
        }];
        rest(&p, &plan, &news).0
    };
    let lost = |crew: &str| Note::ToolLost {
        crew: crew.to_owned(),
        class: "roller".to_owned(),
    };
    let holding = |r: &Rest| {
        let crews = r.problem.problem().crews.iter();
        let kits = crews.filter(|c| c.kit.iter().flatten().any(|k| k == "roller"));
        kits.map(|c| c.id.clone()).collect::<Vec<String>>()
    };
    let whole = rest(&p, &plan, &at(2300)).0;
    assert_eq!(
        holding(&whole).len(),
        4,
        "one and two, and who holds for them"
    );
    for (r, left) in [
        (broken(1, None), "one"),
        (broken(1, Some("two")), "one"),
        (broken(1, Some("one")), "two"),
    ] {
        let loser = if left == "one" { "two" } else { "one" };
        assert_eq!(r.notes, [lost(loser)]);
        let holding = holding(&r);
        assert_eq!(holding.len(), 2, "{holding:?}");
        assert!(holding.iter().all(|id| id.starts_with(left)), "{holding:?}");
    }
    let r = broken(2, None);
    assert_eq!(r.notes, [lost("one"), lost("two")]);
    assert!(holding(&r).is_empty());
}

#[test]
fn a_kit_is_counted_once_and_only_in_its_hours() {
    let (mut p, _) = four();
    p.tools = vec![tool("roller", 1)];
    p.visits[0].ways = vec![way(&["roller"], 600, 0)];
    p.crews.push(crew("three"));
    (p.crews[2].shift, p.crews[2].overtime_until) = ([2400, 2500], 2500);
    p.crews[0].kit = Some(vec!["roller".to_owned()]);
    let crews = |p: &Problem, moment: i64| {
        let (r, _) = rest(p, &planned(p), &at(moment));
        r.problem.problem().crews.len()
    };
    assert_eq!(
        crews(&p, 2300),
        4,
        "somebody holds the kit until a has ended"
    );
    let mut early = p.clone();
    (early.crews[2].shift, early.crews[2].overtime_until) = ([600, 900], 900);
    assert_eq!(crews(&early, 500), 3, "before its shift nobody holds it");
    p.crews[0].kit_hours = Some([1000, 9000]);
    let (r, _) = rest(&p, &planned(&p), &at(2300));
    assert_eq!(r.notes, [], "there is one roller and one kit with it");
    assert_eq!(r.problem.problem().crews.len(), 3);
}
