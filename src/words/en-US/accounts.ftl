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

sign-in-forgotten = Forgot your password?
sign-in-tablet = This is a crew’s tablet
sign-in-owner = Make the first owner
sign-in-set = Your password is set. Sign in with it.
sign-in-code = Code of your second factor
sign-in-needs-code = Your password is right. Type it again, with the code that your phone shows now.
sign-in-code-hint = Six digits, or one of the codes you wrote down.

password-new = New password
password-hint = 8 to 128 characters. A few words in a row are good; what everybody tries first is refused.
password-back = Back to sign-in
password-title = Choose your password
password-lead = By the link of the mail that you were sent. It works once.
password-secret = The part of the link after the #
password-set = Set the password
forgotten-title = A new password
forgotten-lead = Type the address of your account. A mail with a link is sent to it.
forgotten-go = Send the mail
forgotten-asked = If there is an account with this address, a mail is on its way. Its link works for one hour.
forgotten-have-code = I have a code from a mail

owner-title = The first owner
owner-lead = This installation has no owner yet. The owner sees every site, and is needed to begin. The service printed a token when it started: whoever can read it there may become the owner.
owner-token = The token that the service printed
owner-go = Make the owner

pair-title = Pair this tablet
pair-lead = Ask the crew lead or the manager for a code: they find it under Access, at the crews’ tablets. It works once, for ten minutes.
pair-code = The code
pair-go = Pair
pair-person = Sign in as a person instead

account-title = Your account
account-lead = { $name }, you sign in with { $email }.
account-name = Name
account-password-title = Change your password
account-password-lead = Everything else that is signed in with your account is signed out then.
account-old-password = Your password so far
account-password-go = Change it
account-sessions-title = What is signed in
account-signed-in-page = A browser, since { $began }
account-signed-in-api = A program or app, since { $began }, last at { $refreshed }
account-sessions-lead = Ends every session of your account at once: other browsers, tablets and programs, and this one.
account-sign-out-everywhere = Sign out everywhere

second-factor-title = Second factor
second-factor-on = Signing in asks for the code that your phone shows. { $left ->
    [0] None of the codes for the day the phone is lost is left: take the second factor away and set it up again.
    [one] One of the codes for the day the phone is lost is left.
   *[other] { $left } of the codes for the day the phone is lost are left.
}
second-factor-off = Signing in asks for your password alone. With a second factor it also asks for a code that your phone shows; then a password that got out opens nothing.
second-factor-begin = Set up a second factor
second-factor-phone-title = Take it onto your phone
second-factor-phone-lead = Open a program for one-time codes on your phone and let it read this pattern. Then type the code that it shows.
second-factor-pattern = The secret as a pattern for the phone’s camera
second-factor-by-hand = No camera? Type this into the program:
second-factor-code = The code that the phone shows
second-factor-code-or-paper = The code that the phone shows, or one that you wrote down
second-factor-confirm = That is it
second-factor-paper-title = Write these codes down now
second-factor-paper-lead = Your second factor is set up. Each of these codes works once in place of the phone, on the day it is lost. They are not shown again.
second-factor-remove-title = Take the second factor away
second-factor-remove = Take it away

access-title = Access
access-keep = Keep this
access-people = People who sign in
access-people-lead = Each sees and does what their roles allow. What is changed here holds at once.
access-invite-title = Invite somebody
access-invite = Send the invitation
access-invite-again = Send the invitation again
access-invited = A mail to { $name } is on its way.
access-by-hand = This service sends no mail. Hand this link to { $name } yourself: it works once, for seven days, and is not shown again.
access-change = Change what { $name } may do
access-remove = Take the access away
access-roles = Roles
access-disabled = switched off by the owner
access-waits = invited, no password yet
access-with-password = signs in with a password
access-with-second-factor = signs in with a second factor
access-second-factor = Managers and finance must sign in with a second factor

role-manager = Manager
role-crew-lead = Crew lead
role-crew-member = Crew member
role-finance = Finance
role-front-desk = Front desk
role-deputy = Deputy

access-tablets = Crews’ tablets
access-tablets-lead = A tablet belongs to the site, not to a person. It stays signed in until its access is taken away.
access-tablet-name = A new tablet: what it is called
access-tablet-add = Add it and show its code
access-tablet-waits = waits for its code
access-tablet-used = last seen { $at }
access-tablets-gone = { $count ->
    [one] One more had its access taken away.
   *[other] { $count } more had their access taken away.
}
access-new-code = New code
access-revoke = Take its access away
access-code = Open the sign-in page on { $name }, choose “This is a crew’s tablet”, and type this code within ten minutes. It is not shown again.
access-code-gone = The code for { $name } was shown before. Ask for a new one.

access-keys = Keys for pulls
access-keys-lead = A program of yours reads figures with a key. It can change nothing, and reaches no further than whoever made it.
access-key-title = Make a key
access-key-name = What it is for
access-key-cost = What courts cost, and the lines behind it
access-key-reports = The week reports
access-key-days = For how many days
access-key-make = Make the key
access-key-made = The key “{ $name }”. Send it as Authorization: Bearer … ; it is not shown again.
access-key-gone = The key “{ $name }” was shown before. Make another if it is lost.
access-key-remove = Take it away
access-key-sees-both = cost and reports
access-key-sees-cost = cost
access-key-sees-reports = reports
access-key-until = until { $date }
access-key-ended = ended { $date }
access-key-unused = not used yet
access-key-used = last used { $date }

frame-access = Access
frame-account = Your account
