//! People who may sign in to the site.

use actix_web::{HttpResponse, web};
use maud::{Markup, html};

use super::{View, address, not_taken, shown_once};
use crate::desk::Permit;
use crate::desk::access::{EditSite, EditUsers, SeeSite};
use crate::desk::members::{
    Invited, MemberEdit, MemberView, NewMember, member_edit, member_invite, member_invite_again,
    member_remove,
};
use crate::desk::sites::{SiteEdit, site_edit, site_read};
use crate::http::pages::parts::deed::{key, key_of};
use crate::http::pages::parts::form::{Fields, field, wrong};
use crate::http::pages::parts::key_part;
use crate::http::pages::see_other;
use crate::http::pages::session::PageUser;
use crate::http::problem::{Kind, Problem};
use crate::http::route::at;
use crate::http::{State, at_the_desk};
use crate::store::Role;
use crate::words::{say, say_with};

pub(super) fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/access/invite", "POST").route(web::post().to(invite)))
        .service(at("/access/second-factor", "POST").route(web::post().to(require)))
        .service(at("/access/users/{user_id:[0-9]+}/roles", "POST").route(web::post().to(edit)))
        .service(at("/access/users/{user_id:[0-9]+}/invite", "POST").route(web::post().to(again)))
        .service(at("/access/users/{user_id:[0-9]+}/remove", "POST").route(web::post().to(remove)));
}

fn roles(fields: &[(String, String)]) -> Vec<Role> {
    let ticked = fields.iter().filter(|(key, _)| key == "role");
    ticked.filter_map(|(_, value)| value.parse().ok()).collect()
}

async fn invite(
    office: State,
    user: PageUser,
    permit: Permit<EditUsers>,
    see: Permit<SeeSite>,
    form: Fields,
) -> Result<HttpResponse, Problem> {
    let key = key_of(field(&form, "client_key"))?;
    let text = |name: &str| field(&form, name).cloned().unwrap_or_default();
    let new = NewMember {
        name: text("name"),
        email: text("email"),
        roles: roles(&form),
    };
    let invited = at_the_desk(&office, move |o| member_invite(o, &permit, &new, key)).await;
    told(&office, &user, see, invited).await
}

async fn again(
    office: State,
    user: PageUser,
    permit: Permit<EditUsers>,
    see: Permit<SeeSite>,
    path: web::Path<(i64, i64)>,
    form: Fields,
) -> Result<HttpResponse, Problem> {
    let key = key_of(field(&form, "client_key"))?;
    let id = path.1;
    let invited = at_the_desk(&office, move |o| member_invite_again(o, &permit, id, key)).await;
    told(&office, &user, see, invited).await
}

/// Where the service sends no mail, the link that is handed over; else the page says that a mail is on its way.
async fn told(
    office: &State,
    user: &PageUser,
    see: Permit<SeeSite>,
    invited: Result<Invited, Problem>,
) -> Result<HttpResponse, Problem> {
    let invited = match invited {
        Ok(invited) => invited,
        Err(problem) => return not_taken(office, user, see, &wrong(problem)?).await,
    };
    let name = invited.member.name.as_str();
    let text = if invited.by_hand.is_some() {
        say_with("access-by-hand", &[("name", name.into())])
    } else {
        say_with("access-invited", &[("name", name.into())])
    };
    let shown = html! {
        div.note role="status" {
            p { (text) }
            @if let Some(link) = &invited.by_hand { p.code { (link) } }
        }
    };
    shown_once(office, user, see, &shown).await
}

async fn edit(
    office: State,
    user: PageUser,
    permit: Permit<EditUsers>,
    see: Permit<SeeSite>,
    path: web::Path<(i64, i64)>,
    form: Fields,
) -> Result<HttpResponse, Problem> {
    let (site_id, id) = path.into_inner();
    let version = field(&form, "version").and_then(|text| text.parse().ok());
    let version: i64 =
        version.ok_or_else(|| Problem::new(Kind::Unreadable, "version: a number is missing"))?;
    let edit = MemberEdit {
        roles: roles(&form),
    };
    let edited = at_the_desk(&office, move |o| {
        member_edit(o, &permit, id, version, &edit)
    })
    .await;
    match edited {
        Ok(_) => Ok(see_other(&format!("{}#people", address(site_id)))),
        Err(problem) => not_taken(&office, &user, see, &wrong(problem)?).await,
    }
}

async fn remove(
    office: State,
    user: PageUser,
    permit: Permit<EditUsers>,
    see: Permit<SeeSite>,
    path: web::Path<(i64, i64)>,
) -> Result<HttpResponse, Problem> {
    let (site_id, id) = path.into_inner();
    match at_the_desk(&office, move |o| member_remove(o, &permit, id)).await {
        Ok(()) => Ok(see_other(&format!("{}#people", address(site_id)))),
        Err(problem) => not_taken(&office, &user, see, &wrong(problem)?).await,
    }
}

/// Asks managers and finance for a second factor, or no longer.
async fn require(
    office: State,
    permit: Permit<EditSite>,
    see: Permit<SeeSite>,
    path: web::Path<i64>,
    form: Fields,
) -> Result<HttpResponse, Problem> {
    let required = field(&form, "required").is_some();
    at_the_desk(&office, move |o| {
        let site = site_read(o, &see)?;
        let edit = SiteEdit {
            name: site.name,
            units: site.units,
            second_factor_required: Some(required),
        };
        site_edit(o, &permit, site.version, &edit)
    })
    .await?;
    Ok(see_other(&format!("{}#people", address(*path))))
}

pub(super) fn section(view: &View, people: &[MemberView]) -> Markup {
    let place = address(view.site.id);
    html! {
        section.stops #people aria-labelledby="people-title" {
            h2 #people-title { (say("access-people")) }
            p { (say("access-people-lead")) }
            ul.access-list { @for member in people { li { (entry(view, member)) } } }
            @if view.may::<EditUsers>() {
                details {
                    summary { (say("access-invite-title")) }
                    form.hold method="post" action={ (place) "/invite" } {
                        (key())
                        label for="name" { (say("account-name")) }
                        input #name type="text" name="name" maxlength="120" autocomplete="off" required;
                        label for="email" { (say("sign-in-email")) }
                        input #email type="email" name="email" maxlength="254" autocomplete="off" required;
                        (role_ticks("new", &[]))
                        button.button.strong type="submit" { (say("access-invite")) }
                    }
                }
            }
            @if view.may::<EditSite>() {
                form.hold method="post" action={ (place) "/second-factor" } {
                    label.tick {
                        input type="checkbox" name="required" value="yes" checked[view.site.second_factor_required];
                        " " (say("access-second-factor"))
                    }
                    button.button type="submit" { (say("access-keep")) }
                }
            }
        }
    }
}

fn entry(view: &View, member: &MemberView) -> Markup {
    let place = format!("{}/users/{}", address(view.site.id), member.id);
    let roles: Vec<String> = member.roles.iter().map(|role| role_words(*role)).collect();
    html! {
        p { strong { (member.name) } " · " (member.email) }
        p { (roles.join(", ")) " · " (say(standing(member))) }
        @if view.may::<EditUsers>() {
            details {
                summary { (say_with("access-change", &[("name", member.name.as_str().into())])) }
                form.hold method="post" action={ (place) "/roles" } {
                    input type="hidden" name="version" value=(member.version);
                    (role_ticks(&member.id.to_string(), &member.roles))
                    button.button type="submit" { (say("access-keep")) }
                }
                div.deeds {
                    @if !member.has_password {
                        form method="post" action={ (place) "/invite" } {
                            (key())
                            button.button type="submit" { (say("access-invite-again")) }
                        }
                    }
                    form method="post" action={ (place) "/remove" } {
                        button.button type="submit" { (say("access-remove")) }
                    }
                }
            }
        }
    }
}

const fn standing(member: &MemberView) -> &'static str {
    if member.is_disabled {
        "access-disabled"
    } else if !member.has_password {
        "access-waits"
    } else if member.has_second_factor {
        "access-with-second-factor"
    } else {
        "access-with-password"
    }
}

fn role_ticks(of: &str, held: &[Role]) -> Markup {
    html! {
        fieldset.ticks {
            legend { (say("access-roles")) }
            @for role in Role::ALL {
                label.tick for={ "role-" (of) "-" (role) } {
                    input id={ "role-" (of) "-" (role) } type="checkbox" name="role" value=(role) checked[held.contains(role)];
                    " " (role_words(*role))
                }
            }
        }
    }
}

fn role_words(role: Role) -> String {
    say(&format!("role-{}", key_part(role.as_str())))
}
