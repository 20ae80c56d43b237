//! A site's rows stay together and apart from other sites'.

use super::catalogue::db_catalogue;
use crate::support::on_both_engines;

/// Indexes that run across sites, and why.
const ACROSS_SITES: &[(&str, &str)] = &[
    (
        "memberships_by_user_id",
        "a user's sites are asked for when nothing but the user is known",
    ),
    (
        "api_key_sites_by_api_key_id",
        "a key's sites are asked for when nothing but the key is known",
    ),
    (
        "jobs_by_state_run_at",
        "one worker takes the jobs of every site",
    ),
];

/// Tables whose rows may belong to no site: their keys run across sites.
const OF_NO_SITE: &[&str] = &["jobs"];

on_both_engines! {
    async fn whatever_a_site_owns_is_keyed_and_found_by_the_site_first(house) {
        let mut used = Vec::new();
        for (name, table) in db_catalogue(house) {
            if !table.is_of_a_site() {
                continue;
            }
            for index in &table.indexes {
                let exempt = ACROSS_SITES.iter().find(|(exempt, _)| {
                    index.name.as_deref() == Some(*exempt)
                });
                if let Some((exempt, _)) = exempt {
                    used.push(*exempt);
                    continue;
                }
                if index.unique && OF_NO_SITE.contains(&name.as_str()) {
                    continue;
                }
                assert_eq!(index.columns[0], "site_id", "{name}: {index:?}");
            }
            let of_its_site = name == "site_head" || OF_NO_SITE.contains(&name.as_str());
            let keyed = table.indexes.iter().any(|index| {
                index.unique && !index.partial && index.columns == ["site_id", "id"]
            });
            assert!(keyed || of_its_site, "{name}: UNIQUE (site_id, id) is what others point at");
        }
        used.sort_unstable();
        let mut listed: Vec<_> = ACROSS_SITES.iter().map(|(name, _)| *name).collect();
        listed.sort_unstable();
        assert_eq!(used, listed, "an exemption that nothing needs");
    }

    async fn a_row_can_only_point_at_a_row_of_its_own_site(house) {
        let tables = db_catalogue(house);
        let mut seen = 0;
        for (name, table) in &tables {
            for key in &table.foreign_keys {
                let target = &tables[&key.table];
                if !table.is_of_a_site() || !target.is_of_a_site() {
                    continue;
                }
                seen += 1;
                assert_eq!(key.columns[0], "site_id", "{name}: {key:?}");
                assert_eq!(key.targets, ["site_id", "id"], "{name}: {key:?}");
            }
            let points_at_its_site = table.foreign_keys.iter().any(|key| {
                key.columns == ["site_id"] && key.table == "sites"
            });
            assert!(points_at_its_site || !table.is_of_a_site(), "{name}: site_id points at sites");
        }
        assert!(seen > 20, "{seen} foreign keys between tables of a site");
    }

    /// A column named after another table's row points at it.
    async fn whatever_is_named_after_a_row_points_at_one(house) {
        // `source_id`, `subject_id`, `reverses_id` and `period_id` name rows of no one table.
        const LOOSE: &[&str] = &["id", "site_id", "source_id", "subject_id", "reverses_id", "period_id"];
        for (name, table) in db_catalogue(house) {
            for column in table.columns.iter().filter(|column| column.name.ends_with("_id")) {
                let points = table.foreign_keys.iter().any(|key| key.columns.contains(&column.name));
                assert!(
                    points || LOOSE.contains(&column.name.as_str()),
                    "{name}.{} points at nothing", column.name
                );
            }
        }
    }
}
