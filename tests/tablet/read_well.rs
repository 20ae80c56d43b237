//! Each screen of the tablet's page, in each language, on each way to hold it: what axe-core finds, and what it cannot see.

use serde_json::{Value, json};

use super::crew::Crew;
use super::own_picture;
use crate::support::{Engine, Ground, House, Place, TODAY, skip};

/// What is asked of every screen by axe-core's rules (WCAG 2.2 A and AA, contrast by AAA, and its best practices), and that whatever is tapped
/// is 48 px at least, which is our own figure.
const LOOK: &str = r"
    const found = (await axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'],
        rules: { 'color-contrast-enhanced': { enabled: true } } })).violations;
    const faults = found.flatMap(fault => fault.nodes.map(node => `${fault.id}: ${node.html.slice(0, 120)}`));
    const small = [...document.querySelectorAll('a, button, select, input:not([type=hidden])')]
        .filter(e => e.checkVisibility())
        .map(e => [e.outerHTML.slice(0, 90), (e.closest('label') ?? e).getBoundingClientRect()])
        .filter(([_, r]) => r.height < 48 || r.width < 48)
        .map(([html, r]) => `small: ${html} ${r.width} x ${r.height}`);
    const wide = document.documentElement.scrollWidth > innerWidth ? ['it scrolls sideways'] : [];
    return [...faults, ...small, ...wide];
";

/// Upright, on its side, and a phone.
const HELD: [(u32, u32); 3] = [(768, 1024), (1024, 768), (390, 844)];

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn every_screen_keeps_nobody_out_in_either_language_however_the_tablet_is_held() {
    let Ok(axe) = std::env::var("ROUNDHAND_TEST_AXE") else {
        skip("no axe-core: tests/run fetches it and sets ROUNDHAND_TEST_AXE");
        return;
    };
    let axe = std::fs::read_to_string(axe).expect("the script of axe-core");
    let house = House::open(Engine::Sqlite).unwrap();
    let ground = Ground::db_lay(&house);
    own_picture(&house).await;
    let court = ground.courts[0];
    let order = ground.db_issue(&house, Place::Court(court), TODAY, 0);
    let next = ground.db_issue(&house, Place::Court(ground.courts[1]), TODAY, 0);
    let Some(crew) = Crew::begin(&house, &house.base, ground.crew, ground.dear).await else {
        return;
    };
    let hold = json!({ "kind": "hold", "court_id": court, "reason": "glass" });
    crew.browser
        .look(&format!("await roundhandOutbox.put({hold})"))
        .await;
    crew.until_all_is_sent().await;
    let screens = [
        "now".into(),
        format!("order/{next}"),
        format!("close/{order}"),
        format!("undone/{order}"),
        format!("hold/{court}"),
        format!("defect/{court}"),
        "incident".into(),
        "alone".into(),
        "people".into(),
        "tools".into(),
        format!("tool/t{}", ground.drag),
        format!("tool/c{court}"),
        "lightning".into(),
        format!("more/{order}"),
        format!("hand-over/{order}"),
        format!("note/{order}"),
        "outbox".into(),
        "who".into(),
    ];
    let mut faults = Vec::new();
    for language in ["en-US", "es"] {
        crew.show("who").await;
        crew.tap("language", language).await;
        crew.until(&format!(
            "return document.documentElement.lang === '{language}'"
        ))
        .await;
        for screen in &screens {
            let shown = crew.show(screen).await;
            assert_eq!(
                Some(shown.as_str()),
                screen.split('/').next(),
                "{screen} is shown"
            );
            for size in HELD {
                crew.browser.size(size).await;
                crew.browser.look(&axe).await;
                let found = crew.browser.look(LOOK).await;
                let found = found.as_array().cloned().unwrap_or_default();
                faults.extend(
                    found
                        .iter()
                        .filter_map(Value::as_str)
                        .map(|fault| format!("{language} {screen} {size:?}: {fault}")),
                );
            }
        }
    }
    assert!(faults.is_empty(), "{faults:#?}");
    let complaints = crew.browser.complaints().await;
    assert!(complaints.is_empty(), "{complaints:#?}");
    crew.browser.close().await;
}
