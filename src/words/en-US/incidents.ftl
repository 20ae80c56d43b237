# Incidents and near misses, first aid, and pictures.

frame-incidents = Incidents

incidents-title = Incidents and near misses
incidents-first = Somebody is hurt? Call the local emergency number first, and do what you are trained to do.
incidents-local-rules = Then tell it here. Local rules say what else must be reported, to whom and how soon; they come first, and this page does not do it for you.
incidents-listed = What was told
incidents-none = Nothing was told.
incidents-new = Not opened yet.
incidents-opened = Opened { $at }.
incidents-open = I have seen it
incidents-read = Read the details
incidents-back = Back to the list
incidents-where-and-when = { $place }, { $at }
incidents-tell = Tell what happened, or nearly did
incidents-tell-lead = The managers are mailed at once that there is something, where and when. Details are read by those alone who are named below the list.
incidents-kind = What is it?
incidents-what = What happened?
incidents-court = Which court?
incidents-no-court = No court
incidents-place = Where else?
incidents-happened = When? Leave it empty for now.
incidents-hurt = Was anyone hurt?
incidents-who = Who was hurt?
incidents-note = What happened, in your words
incidents-send = Send
incidents-readers = Who reads the details
incidents-readers-lead = Notes, pictures and who was hurt are shown to these people alone. Each reading is noted in the trail.
incidents-readers-none = Nobody is named yet: name at least one.
incidents-reader = Name somebody
incidents-reader-name = Name them
incidents-reader-remove = Take { $name } off
incidents-reader-gone = Somebody who left

incident-incident = Incident
incident-near-miss = Near miss
incident-what-slip-or-fall = slip or fall
incident-what-struck = struck or caught by something
incident-what-cut = cut
incident-what-heat = heat
incident-what-chemical = chemical
incident-what-electric = electricity
incident-what-vehicle = cart, roller or other vehicle
incident-what-other = something else
incident-hurt-yes = Yes
incident-hurt-no = No
incident-hurt-unknown = Not known
incident-reading-noted = That you read this is noted in the trail.

picture-alt = Picture { $id }
picture-voice-note = Listen to the spoken note

alarm-incidents = { $count ->
        [one] An incident or near miss was told and not opened yet.
       *[other] { $count } incidents or near misses were told and not opened yet.
    }

notice-title = What to do
notice-link = Open the page
notice-footer = You get this because you manage { $site }. It names nobody on purpose.
notice-incident-subject = { $site }: an incident was told
notice-incident-lead = There was an incident: { $place }, { $at }.
notice-incident-text = If anyone may still be in danger or hurt, the local emergency number comes first. Then open the page. Those named for it read the details there.
notice-near-miss-subject = { $site }: a near miss was told
notice-near-miss-lead = There was a near miss: { $place }, { $at }.
notice-near-miss-text = Open the page. Those named for it read the details there.

setting-first_aid = Where the first-aid kit of a court is that does not say so itself
setting-ambulance_way = How an ambulance is led to a court that does not say so itself

first-aid-title = First aid
first-aid-kit = Where the first-aid kit is
first-aid-way = How to lead an ambulance here
first-aid-unknown = Nobody has said so yet. Ask before you start.
first-aid-empty = Leave a field empty to go by what the site says.
first-aid-do = Keep
