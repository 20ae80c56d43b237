//! Which backups of nights are kept: the last nights, and of the weeks before them one each.

use std::collections::HashSet;
use std::fs;
use std::io::ErrorKind;
use std::path::Path;

use chrono::Datelike;

use super::sheet::place_of;
use super::{Office, Settings};
use crate::store::backups::{BackupRow, backup_set_removed, failures_forget, nights_standing};
use crate::store::copies::CopyFault;

/// Removes the files of nights that are no longer kept, and notes it. Those that were asked for or
/// taken before a migration stay until somebody removes them by hand.
pub(super) fn remove_old(office: &Office, folder: &Path) -> Result<(), CopyFault> {
    let now = office.now();
    let nights = office.db.read(nights_standing)?;
    for row in not_kept(&nights, &office.backups) {
        let Some(file) = &row.file else { continue };
        let path = folder.join(file);
        for path in [place_of(&path), path] {
            match fs::remove_file(&path) {
                Err(e) if e.kind() != ErrorKind::NotFound => {
                    return Err(CopyFault(format!("cannot remove {}: {e}", path.display())));
                }
                _ => {}
            }
        }
        office
            .db
            .write_shared(|conn| backup_set_removed(conn, row.id, now))?;
    }
    Ok(office.db.write_shared(|conn| failures_forget(conn, now))?)
}

/// Of nights, newest first, those that are not kept.
fn not_kept<'a>(nights: &'a [BackupRow], settings: &Settings) -> Vec<&'a BackupRow> {
    let older = nights.iter().skip(settings.keep_nights);
    let mut weeks = HashSet::new();
    older
        .filter(|row| {
            let week = row.began_at.utc().iso_week();
            let is_kept =
                weeks.len() < settings.keep_weeks && weeks.insert((week.year(), week.week()));
            !is_kept
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::backups::BackupWhy;
    use crate::store::columns::Json;
    use chrono::{DateTime, TimeDelta, Utc};

    fn night(days_ago: i64) -> BackupRow {
        let monday: DateTime<Utc> = "2031-06-09T07:00:00Z".parse().unwrap();
        let at = (monday - TimeDelta::days(days_ago)).into();
        BackupRow {
            id: 1000 - days_ago,
            why: BackupWhy::Nightly,
            began_at: at,
            ended_at: at,
            file: Some("a file".into()),
            bytes: Some(1),
            sha256: None,
            heads: Json(Vec::new()),
            proved_at: None,
            unproved_why: None,
            failed_why: None,
            removed_at: None,
        }
    }

    #[test]
    fn the_last_nights_and_one_night_of_each_of_the_weeks_before_are_kept() {
        let nights: Vec<_> = (0..100).map(night).collect();
        let gone = not_kept(&nights, &Settings::default());
        let kept: Vec<i64> = (0..100)
            .filter(|day| !gone.iter().any(|row| row.id == 1000 - day))
            .collect();
        assert_eq!(kept[..14], (0..14).collect::<Vec<_>>());
        // The newest night of a week is its Sunday: 1, 8, 15 days before this Monday. Day 14 is a Monday, alone
        // in its week among those that are left.
        assert_eq!(kept[14..], [14, 15, 22, 29, 36, 43, 50, 57]);
    }
}
