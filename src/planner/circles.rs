//! Circles in `after`: visits that wait for themselves.

use std::collections::{HashMap, HashSet};

use serde_json::Value;

/// The visits that stand on a circle, as (index, id), in the order of the file.
///
/// Takes raw values, since circles are named beside every other fault; `index` gives each known id its
/// first index.
pub(crate) fn on_circles<'a>(
    visits: &'a [Value],
    index: &HashMap<String, usize>,
) -> Vec<(usize, &'a str)> {
    let mut waits: HashMap<&str, HashSet<&str>> = HashMap::new();
    for visit in visits {
        let id = visit.get("id").and_then(Value::as_str);
        let after = visit.get("after").and_then(Value::as_array);
        if let (Some(id), Some(after)) = (id, after) {
            waits.insert(id, after.iter().filter_map(Value::as_str).collect());
        }
    }
    let known: HashSet<&str> = waits.keys().copied().collect();
    for after in waits.values_mut() {
        after.retain(|a| known.contains(a));
    }
    // What waits for nothing is on no circle; taken away, it frees what waited for it alone.
    loop {
        let free: HashSet<&str> = waits
            .iter()
            .filter(|(_, after)| after.is_empty())
            .map(|(id, _)| *id)
            .collect();
        if free.is_empty() {
            break;
        }
        waits.retain(|id, _| !free.contains(id));
        for after in waits.values_mut() {
            after.retain(|a| !free.contains(a));
        }
    }
    // What is left is on a circle or waits for one; only the former reaches itself.
    let mut out: Vec<(usize, &str)> = waits
        .keys()
        .filter(|id| reaches_itself(id, &waits))
        .map(|id| (index.get(*id).copied().unwrap_or(0), *id))
        .collect();
    out.sort_unstable();
    out
}

fn reaches_itself(id: &str, waits: &HashMap<&str, HashSet<&str>>) -> bool {
    let mut seen: HashSet<&str> = HashSet::new();
    let mut open: Vec<&str> = waits[id].iter().copied().collect();
    while let Some(x) = open.pop() {
        if seen.insert(x)
            && let Some(after) = waits.get(x)
        {
            open.extend(after);
        }
    }
    seen.contains(id)
}
