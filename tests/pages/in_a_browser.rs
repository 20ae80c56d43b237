//! The pages in a real browser.

use roundhand::store::Role;
use serde_json::json;

use super::browser::{Browser, SIZES};
use super::visitor::account;
use crate::days::yard::{DAY, Yard};
use crate::support::{Engine, House};

/// Gives the visible things one taps that are smaller than a fingertip. What only a keyboard
/// reaches does not count; a field inside its label is tapped by the label.
const SMALL_TARGETS: &str = r"
    return [...document.querySelectorAll('a, button, select, summary, input:not([type=hidden])')]
        .filter(e => !e.matches('.skip') && e.checkVisibility())
        .map(e => [e.outerHTML.slice(0, 90), (e.closest('label') ?? e).getBoundingClientRect()])
        .filter(([_, r]) => r.height < 44 || r.width < 44)
        .map(([html, r]) => `${html} ${r.width} x ${r.height}`);
";

/// Gives the texts whose contrast with what is behind them is less than WCAG 2.2 section 1.4.3
/// (AA) asks for: 4.5 to 1, or 3 to 1 where the letters are large.
const PALE_TEXTS: &str = r"
    const parts = colour => colour.match(/[\d.]+/g).map(Number);
    const light = ([r, g, b]) => {
        const [x, y, z] = [r, g, b].map(v => v / 255).map(v => v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4);
        return 0.2126 * x + 0.7152 * y + 0.0722 * z;
    };
    const behind = e => {
        for (; e; e = e.parentElement) {
            const c = parts(getComputedStyle(e).backgroundColor);
            if (c.length < 4 || c[3] > 0) return c;
        }
        return [255, 255, 255];
    };
    const pale = [];
    const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    while (walk.nextNode()) {
        const e = walk.currentNode.parentElement;
        if (!walk.currentNode.data.trim() || !e.checkVisibility()) continue;
        const style = getComputedStyle(e);
        const [one, other] = [light(parts(style.color)), light(behind(e))].sort((a, b) => b - a);
        const size = parseFloat(style.fontSize), bold = style.fontWeight >= 700;
        const asked = size >= 24 || (bold && size >= 18.66) ? 3 : 4.5;
        const has = (one + 0.05) / (other + 0.05);
        if (has < asked) pale.push(`${walk.currentNode.data.trim().slice(0, 40)}: ${has.toFixed(2)}`);
    }
    return pale;
";

/// Looks at the page at hand on every screen, by day and by night.
async fn reads_well(browser: &Browser, what: &str) {
    for size in SIZES {
        browser.size(size).await;
        let wide = browser
            .look("return document.documentElement.scrollWidth")
            .await;
        assert_eq!(wide, size.0, "{what}: it scrolls sideways at {size:?}");
        let small = browser.look(SMALL_TARGETS).await;
        assert_eq!(
            small.as_array().map(Vec::len),
            Some(0),
            "{what} at {size:?}: {small:#}"
        );
        for dark in [false, true] {
            browser.dark(dark).await;
            let pale = browser.look(PALE_TEXTS).await;
            assert_eq!(
                pale.as_array().map(Vec::len),
                Some(0),
                "{what}, dark {dark}: {pale:#}"
            );
        }
    }
}

async fn sign_in(browser: &Browser, house: &House, role: Role) {
    let account = account(house, role);
    browser.go(&format!("{}/", house.base)).await;
    let (email, password) = (
        browser.find("#email").await,
        browser.find("#password").await,
    );
    email.send_keys(&account.email).await.unwrap();
    password.send_keys(&account.password).await.unwrap();
    browser
        .find("form [type=submit]")
        .await
        .click()
        .await
        .unwrap();
    browser.find(".band-user").await;
}

/// Plans the day at hand by the page's buttons, up to the orders in the crews' hands.
async fn plan_the_day(browser: &Browser) {
    browser
        .find("form[action$='/plan-runs'] button")
        .await
        .click()
        .await
        .unwrap();
    // The page of the search looks again by itself, until there is a plan to take.
    browser
        .find("form[action$='/take'] button")
        .await
        .click()
        .await
        .unwrap();
    browser
        .find("form[action$='/issue'] button")
        .await
        .click()
        .await
        .unwrap();
    browser.find(".is-issued").await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn one_signs_in_and_reads_the_day_s_rounds_on_every_screen_by_day_and_by_night() {
    let house = House::open(Engine::Sqlite).unwrap();
    let yard = Yard::db_lay(&house);
    let Some(browser) = Browser::open().await else {
        return;
    };
    browser.go(&format!("{}/sign-in", house.base)).await;
    reads_well(&browser, "sign-in").await;
    sign_in(&browser, &house, Role::Manager).await;
    reads_well(&browser, "the choice of sites").await;
    let day = format!("{}/sites/{}/days/{DAY}", house.base, yard.site);
    browser.go(&day).await;
    reads_well(&browser, "a day without a plan").await;
    plan_the_day(&browser).await;
    let text = browser.text().await;
    for words in [
        "Tuesday, June 10, 2031",
        "Handed out to the crews",
        "Full turnaround",
    ] {
        assert!(text.contains(words), "{words}: {text}");
    }
    reads_well(&browser, "the rounds").await;
    browser.go(&format!("{}/nothing", house.base)).await;
    reads_well(&browser, "nothing there").await;
    let complaints = browser.complaints().await;
    // The browser notes the page that is not there, and nothing else.
    assert!(
        complaints.iter().all(|c| c.contains("/nothing")),
        "{complaints:#?}"
    );
    browser.close().await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn the_manager_s_pages_of_courts_care_and_weather_read_well_on_every_screen() {
    let house = House::open(Engine::Sqlite).unwrap();
    let Some(browser) = Browser::open().await else {
        return;
    };
    let manager = house.manager().await;
    let rain = json!({ "readings": [
        { "read_at": "2031-06-10T08:30:00Z", "kind": "observed", "temp_mc": 32_222, "humidity_permille": 600, "rain_um": 9_000,
            "wind_mmps": 4_500, "gust_mmps": 9_000, "solar_w_m2": 120, "frost": false },
        { "read_at": "2031-06-10T18:00:00Z", "kind": "forecast", "temp_mc": 35_000, "humidity_permille": 500 },
    ] });
    manager
        .post(&house.path("/weather"), &rain)
        .await
        .expect(201);
    let look = json!({ "standing_water": true, "firmness": "soft", "low_spots": ["net", "side_east"], "note": "by the gate" });
    manager
        .post(&house.path("/courts/1/inspections"), &look)
        .await
        .expect(201);
    sign_in(&browser, &house, Role::Manager).await;
    let site = format!("{}/sites/{}", house.base, house.set_up.site_id);
    for page in ["courts", "courts/1", "weather", "care"] {
        browser.go(&format!("{site}/{page}")).await;
        // What is folded is opened, so that all of it is looked at.
        browser
            .look("document.querySelectorAll('details').forEach(one => one.open = true)")
            .await;
        reads_well(&browser, page).await;
    }
    let complaints = browser.complaints().await;
    assert!(complaints.is_empty(), "{complaints:#?}");
    browser.close().await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn the_pages_of_accounts_access_and_the_trail_read_well_on_every_screen() {
    let house = House::open(Engine::Sqlite).unwrap();
    let Some(browser) = Browser::open().await else {
        return;
    };
    for page in ["sign-in", "forgotten", "pair"] {
        browser.go(&format!("{}/{page}", house.base)).await;
        reads_well(&browser, page).await;
    }
    // The secret of a mailed link goes into the form, and out of the address.
    browser
        .go(&format!("{}/password#a-secret", house.base))
        .await;
    let laid = "return [document.querySelector('#secret').value, location.href.includes('#')]";
    assert_eq!(browser.look(laid).await, json!(["a-secret", false]));
    reads_well(&browser, "password").await;

    let manager = house.manager().await;
    let tablet = json!({ "name": "North crew's tablet" });
    manager
        .post(&house.path("/devices"), &tablet)
        .await
        .expect(201);
    let key = json!({ "name": "Ledger", "sees": ["cost", "reports"], "days": 30 });
    manager
        .post(&house.path("/api-keys"), &key)
        .await
        .expect(201);
    sign_in(&browser, &house, Role::Manager).await;
    let site = house.set_up.site_id;
    for page in [
        "account".to_owned(),
        format!("sites/{site}/access"),
        format!("sites/{site}/audit"),
    ] {
        browser.go(&format!("{}/{page}", house.base)).await;
        browser
            .look("document.querySelectorAll('details').forEach(one => one.open = true)")
            .await;
        reads_well(&browser, &page).await;
    }
    let complaints = browser.complaints().await;
    assert!(complaints.is_empty(), "{complaints:#?}");
    browser.close().await;
}

/// Gives what is not as it should be on paper: black on white, nothing to tap, one crew a sheet.
const POOR_PRINT: &str = r"
    const all = css => [...document.querySelectorAll(css)];
    const poor = all('a.button, button, nav').filter(e => e.checkVisibility()).map(e => e.outerHTML.slice(0, 90));
    const page = getComputedStyle(document.body);
    if (page.color !== 'rgb(0, 0, 0)' || page.backgroundColor !== 'rgb(255, 255, 255)') poor.push('not black on white');
    const rounds = all('.round');
    if (rounds.length < 2) poor.push('no rounds');
    for (const round of rounds) {
        if (getComputedStyle(round).breakBefore !== 'page') poor.push(`${round.id} begins no sheet`);
        const head = round.querySelector('.sheet');
        if (!head.checkVisibility() || !head.textContent.includes('2031')) poor.push(`${round.id} does not say its day`);
    }
    return poor;
";

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn on_paper_each_crew_has_a_sheet_of_its_own_black_on_white() {
    let house = House::open(Engine::Sqlite).unwrap();
    let yard = Yard::db_lay(&house);
    let Some(browser) = Browser::open().await else {
        return;
    };
    yard.plan(&house.manager().await, DAY).await;
    sign_in(&browser, &house, Role::Manager).await;
    browser
        .go(&format!("{}/sites/{}/days/{DAY}", house.base, yard.site))
        .await;
    for dark in [false, true] {
        browser.print(dark).await;
        let poor = browser.look(POOR_PRINT).await;
        assert_eq!(poor, json!([]), "dark {dark}");
    }
    browser.close().await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn without_script_the_pages_work_as_well() {
    let house = House::open(Engine::Sqlite).unwrap();
    let yard = Yard::db_lay(&house);
    let Some(browser) = Browser::open().await else {
        return;
    };
    browser.without_script().await;
    sign_in(&browser, &house, Role::Manager).await;
    browser
        .go(&format!("{}/sites/{}/days/{DAY}", house.base, yard.site))
        .await;
    plan_the_day(&browser).await;
    browser
        .find(".other-days [rel=next]")
        .await
        .click()
        .await
        .unwrap();
    browser.find("time[datetime='2031-06-11']").await;
    browser
        .find(".band-user button")
        .await
        .click()
        .await
        .unwrap();
    browser.find("#password").await;
    browser.close().await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn the_reader_of_the_api_s_document_works_under_its_own_policy() {
    let house = House::open(Engine::Sqlite).unwrap();
    let Some(browser) = Browser::open().await else {
        return;
    };
    browser.go(&format!("{}/api/docs/", house.base)).await;
    browser.find(".opblock").await;
    let complaints = browser.complaints().await;
    assert!(complaints.is_empty(), "{complaints:#?}");
    browser.close().await;
}
