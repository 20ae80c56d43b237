fault-needs-code-title = The code is missing
fault-needs-code-text = Your account has a second factor. Sign in again with the code that your phone shows.
fault-needs-second-factor-title = Set up a second factor first
fault-needs-second-factor-text = This resort asks managers and finance for a second factor. Set one up on your account page; then this page opens.

account-mail-footer = This mail was sent to { $email } because of this account. If you did not expect it, tell the manager of your courts.
account-mail-by-hand = Open the sign-in page, choose the link below the form for a mailed code, and enter: { $secret }

account-mail-invitation-subject = { $site }: your sign-in
account-mail-invitation-lead = { $name }, you may now sign in for { $site }.
account-mail-invitation-title = Choose your password
account-mail-invitation-text = Open the link within seven days and choose a password of 8 to 128 characters; a few words in a row are good. The link works once.
account-mail-invitation-link = Choose your password

account-mail-joined-subject = { $site }: you have access
account-mail-joined-lead = { $name }, your account now also opens { $site }.
account-mail-joined-title = Nothing to do
account-mail-joined-text = Sign in as you always do, with { $email } and your password.
account-mail-joined-link = Sign in

account-mail-new-password-subject = A new password
account-mail-new-password-lead = { $name }, somebody asked for a new password for your account.
account-mail-new-password-title = If it was you
account-mail-new-password-text = Open the link within one hour and choose a new password. The link works once, and everything that is signed in now is signed out. If it was not you, do nothing: your password stays as it is.
account-mail-new-password-link = Choose a new password

account-mail-password-changed-subject = Your password was changed
account-mail-password-changed-lead = { $name }, the password of your account was changed.
account-mail-password-changed-title = If it was not you
account-mail-password-changed-text = Ask for a new password on the sign-in page at once, and tell the manager of your courts. Everything that was signed in has been signed out.
account-mail-password-changed-link = Sign in

account-mail-second-factor-on-subject = Your second factor is set up
account-mail-second-factor-on-lead = { $name }, signing in now also asks for the code that your phone shows.
account-mail-second-factor-on-title = If it was not you
account-mail-second-factor-on-text = Ask for a new password on the sign-in page at once, and tell the manager of your courts.
account-mail-second-factor-on-link = Sign in

account-mail-second-factor-off-subject = Your second factor was taken away
account-mail-second-factor-off-lead = { $name }, signing in asks for your password alone again.
account-mail-second-factor-off-title = If it was not you
account-mail-second-factor-off-text = Change your password at once, set the second factor up again, and tell the manager of your courts.
account-mail-second-factor-off-link = Sign in
