//! Lists come page by page, by cursor.

use serde_json::Value;

use crate::support::{Answer, Client, House, Operation, db_planned_order, on_both_engines};

/// Where the next page is, by RFC 8288: the target of the link with `rel="next"`.
fn next_link(answer: &Answer) -> Option<String> {
    let link = answer.header("link")?;
    let (target, relation) = link.split_once(';').expect("a link has a relation");
    assert_eq!(relation.trim(), "rel=\"next\"", "{link}");
    let target = target.strip_prefix('<').and_then(|t| t.strip_suffix('>'));
    Some(target.expect("a target stands between < and >").to_owned())
}

/// Every row from the page at `first` on, by the cursor in each body.
async fn by_cursor(client: &Client, first: &str) -> Vec<Value> {
    let (mut rows, mut cursor) = (Vec::new(), Some(String::new()));
    while let Some(text) = cursor {
        let page = client.get(&format!("{first}{text}")).await.expect(200);
        let items = page["items"].as_array().unwrap();
        cursor = page["next_cursor"].as_str().map(|c| format!("&cursor={c}"));
        assert!(
            cursor.is_none() || !items.is_empty(),
            "{first} goes on for ever"
        );
        rows.extend(items.clone());
    }
    rows
}

/// The same by the link in each header.
async fn by_link(client: &Client, first: String) -> Vec<Value> {
    let (mut rows, mut target) = (Vec::new(), Some(first));
    while let Some(text) = target {
        let page = client.get(&text).await;
        target = next_link(&page);
        let items = page.items();
        assert!(
            target.is_none() || !items.is_empty(),
            "{text} goes on for ever"
        );
        rows.extend(items);
    }
    rows
}

/// Lists of which the newest is wanted first.
const NEWEST_FIRST: [&str; 2] = ["/audit-events", "/installation/backups"];

/// The lists that the owner may see, with what they need in their query.
async fn lists(house: &House, manager: &Client) -> Vec<(String, String)> {
    // What is below an order needs one.
    db_planned_order(house);
    let mut lists = Vec::new();
    for operation in Operation::all(&house.nobody()).await {
        if !operation.is_a_list() {
            continue;
        }
        let mut path = operation
            .path
            .replace("{site_id}", &house.set_up.site_id.to_string())
            .replace("{date}", "2031-06-10");
        if let Some((collection, rest)) = path.clone().split_once("/{") {
            // A list below one thing of another list: the first of them.
            let (_, below) = rest.split_once('}').expect("a name ends");
            let first = manager
                .get(&format!("{collection}?limit=1"))
                .await
                .expect(200);
            path = format!("{collection}/{}{below}", first["items"][0]["id"]);
        }
        lists.push((path, operation.needed_query_text()));
    }
    assert!(lists.len() > 5, "{} lists", lists.len());
    lists
}

on_both_engines! {
    async fn walking_a_list_by_cursor_or_by_link_gives_every_row_once_and_in_order(house) {
        let owner = house.owner().await;
        let mut over_several_pages = 0;
        for (path, query) in lists(house, &owner).await {
            let whole = by_cursor(&owner, &format!("{path}?{query}&limit=200")).await;
            let ids: Vec<_> = whole.iter().map(|row| row["id"].as_i64().unwrap()).collect();
            let newest_first = NEWEST_FIRST.iter().any(|end| path.ends_with(end));
            let in_order = |one: &i64, next: &i64| if newest_first { one > next } else { one < next };
            assert!(ids.is_sorted_by(in_order), "{path}: {ids:?}");

            // Short lists row by row in pairs, the long ones in a handful of pages.
            let first = format!("{path}?{query}&limit={}", (whole.len() / 5).clamp(2, 200));
            assert_eq!(by_cursor(&owner, &first).await, whole, "{path}");
            assert_eq!(by_link(&owner, first).await, whole, "{path}");
            over_several_pages += usize::from(whole.len() > 2);
        }
        assert!(over_several_pages > 5, "{over_several_pages} lists have more than a page");
    }

    async fn a_page_has_1_to_200_rows_and_starts_where_one_ended(house) {
        let owner = house.owner().await;
        for (path, query) in lists(house, &owner).await {
            for limit in ["0", "201", "abc", "-1", "", "9223372036854775808"] {
                let answer = owner.get(&format!("{path}?{query}&limit={limit}")).await;
                answer.expect_problem(400);
                assert_eq!(answer.fault(), "limit", "{path} {limit}");
            }
            // The last is the base64url text of `after:-1`.
            for cursor in ["1", "", "made-up", "YWZ0ZXI6LTE"] {
                let answer = owner.get(&format!("{path}?{query}&cursor={cursor}")).await;
                answer.expect_problem(400);
                assert_eq!(answer.fault(), "cursor", "{path} {cursor}");
            }
            owner.get(&format!("{path}?{query}&limit=200")).await.expect(200);
        }
    }

    /// The next page is of the same question: the link keeps what was asked.
    async fn the_link_to_the_next_page_keeps_the_filter(house) {
        let manager = house.manager().await;
        let first = manager.get(&house.path("/shifts?limit=1")).await.items();
        let date = first[0]["work_date"].as_str().unwrap();
        let of_the_day = house.path(&format!("/shifts?date={date}"));
        let whole = by_cursor(&manager, &of_the_day).await;
        assert!(whole.len() > 1, "more than one crew works on {date}");
        assert_eq!(by_link(&manager, format!("{of_the_day}&limit=1")).await, whole);
    }
}
