# The installation, for its owners.

installation-title = Installation
backups-title = Backups
backups-now = Back up now
backups-no-folder = No folder for backups is set, so none is taken at night. Start the service with --backup-folder.
backups-none = No backup was taken yet.
backups-old = The newest backup is older than a day.
backups-age = Age of the newest backup
backups-last-proved = Last restore that was proved
backups-never = never
backups-failed = Failed: { $why }
backups-file = File
backups-size = Size
backups-proof = Restore
backups-proved = Proved { $at }
backups-unproved = Not proved: { $why }
backups-removed = Removed { $at }, since newer ones are kept
backups-not-yet-proved = Not proved yet
backup-why-nightly = Night
backup-why-before-migration = Before a change of the schema
backup-why-asked = Asked for
