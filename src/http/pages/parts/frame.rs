//! The frame of every page: its head, the band on top, the main part, the foot.

use maud::{DOCTYPE, Markup, html};

use super::shown;
use crate::http::pages::session::PageUser;
use crate::http::pages::{assets, incidents, stops, wear};
use crate::store::sites::SiteRow;
use crate::store::users::UserKind;
use crate::words::{say, say_with};

/// What is around a page's own content.
pub struct Frame<'a> {
    title: &'a str,
    site: Option<&'a SiteRow>,
    user: Option<&'a PageUser>,
    again_after_s: Option<u32>,
    is_live: bool,
}

impl<'a> Frame<'a> {
    /// The frame of a page with this title.
    pub const fn of(title: &'a str) -> Self {
        Self {
            title,
            site: None,
            user: None,
            again_after_s: None,
            is_live: false,
        }
    }

    /// A page of this site.
    #[must_use]
    pub const fn site(mut self, site: &'a SiteRow) -> Self {
        self.site = Some(site);
        self
    }

    /// A page of this user, if one is signed in.
    #[must_use]
    pub const fn user(mut self, user: Option<&'a PageUser>) -> Self {
        self.user = user;
        self
    }

    /// A page that is fetched again after so many seconds: it shows work under way.
    #[must_use]
    pub const fn again_after(mut self, seconds: u32) -> Self {
        self.again_after_s = Some(seconds);
        self
    }

    /// A page that shows what changes at its site as it changes.
    #[must_use]
    pub const fn live(mut self) -> Self {
        self.is_live = true;
        self
    }

    /// Where what changes is told, for a page that shows it.
    fn live_address(&self) -> Option<String> {
        let site = self.site.filter(|_| self.is_live)?;
        Some(format!("/api/v1/sites/{}/live", site.id))
    }

    /// The whole page.
    pub fn around(&self, content: &Markup) -> Markup {
        let product = say("product");
        let title = match self.site {
            Some(site) => format!("{} · {} · {product}", self.title, site.name),
            None => format!("{} · {product}", self.title),
        };
        let live = self.live_address();
        html! {
            (DOCTYPE)
            html lang="en-US" {
                head {
                    meta charset="utf-8";
                    title { (title) }
                    meta name="viewport" content="width=device-width, initial-scale=1";
                    meta name="color-scheme" content="light dark";
                    @match self.again_after_s {
                        // What is told of changes takes a script.
                        Some(seconds) if self.is_live => noscript { meta http-equiv="refresh" content=(seconds); },
                        Some(seconds) => meta http-equiv="refresh" content=(seconds);,
                        None => {}
                    }
                    link rel="stylesheet" href=(assets::address("office.css"));
                    link rel="icon" type="image/svg+xml" href=(assets::address("mark.svg"));
                }
                body {
                    a.skip href="#content" { (say("frame-skip")) }
                    (self.band(&product))
                    (self.alarm())
                    @if live.is_some() {
                        p #live-note.note hidden role="status" {
                            (say("live-changed")) " " a.button href="" { (say("live-again")) }
                        }
                    }
                    main #content tabindex="-1" data-live=[live.as_deref()] { (content) }
                    @if live.is_some() {
                        script type="module" src=(assets::address("live.js")) {}
                    }
                    footer.foot {
                        p { (product) " · " (say("frame-foot")) }
                        @if self.user.is_some() {
                            p { a.inline href="/tablet" { (say("frame-tablet")) } }
                        }
                    }
                }
            }
        }
    }

    /// What everybody on the site must know before anything else.
    fn alarm(&self) -> Markup {
        let (Some(site), Some(user)) = (self.site, self.user) else {
            return html! {};
        };
        let show = shown(site);
        html! {
            @if user.incidents > 0 {
                div.alarm role="alert" {
                    p { a href=(incidents::address(site.id)) {
                        (say_with("alarm-incidents", &[("count", user.incidents.into())]))
                    } }
                }
            }
            @for stop in &user.stops {
                @if let Some(from) = stop.release_from {
                    div.alarm role="alert" {
                        p.alarm-head { (say("alarm-lightning")) }
                        p {
                            (say_with("alarm-not-before", &[("time", show.time(from).into())]))
                            " " a href=(stops::address(site.id)) { (say("alarm-more")) }
                        }
                    }
                } @else {
                    div.alarm.is-heat role="status" {
                        p { a href=(stops::address(site.id)) { (stops::heat_words(&show, stop)) } }
                    }
                }
            }
        }
    }

    fn band(&self, product: &str) -> Markup {
        html! {
            header.band {
                div.band-row {
                    a.mark href="/" {
                        img src=(assets::address("mark.svg")) alt="" width="32" height="32";
                        span { (product) }
                    }
                    @if let Some(site) = self.site {
                        nav.places aria-label=(say("frame-nav")) {
                            a href={ "/sites/" (site.id) "/today" } { (say("frame-today")) }
                            a href={ "/sites/" (site.id) "/play" } { (say("frame-play")) }
                            a href={ "/sites/" (site.id) "/ahead" } { (say("frame-ahead")) }
                            a href={ "/sites/" (site.id) "/courts" } { (say("frame-courts")) }
                            a href={ "/sites/" (site.id) "/weather" } { (say("frame-weather")) }
                            a href={ "/sites/" (site.id) "/care" } { (say("frame-care")) }
                            a href=(wear::address(site.id)) { (say("wear-title")) }
                            a href={ "/sites/" (site.id) "/calendars" } { (say("frame-calendars")) }
                            a href=(stops::address(site.id)) { (say("frame-stops")) }
                            a href=(incidents::address(site.id)) { (say("frame-incidents")) }
                            a href={ "/sites/" (site.id) "/water" } { (say("frame-water")) }
                            a href={ "/sites/" (site.id) "/access" } { (say("frame-access")) }
                        }
                        p.band-site { (site.name) }
                    }
                    @if let Some(user) = self.user {
                        @if user.kind == UserKind::Person {
                            a.band-account href="/account" aria-label=(say("frame-account")) { (user.name) }
                        } @else { p.band-name { (user.name) } }
                        form.band-user method="post" action="/sign-out" {
                            button type="submit"
                                aria-label=(say_with("frame-sign-out-name", &[("name", user.name.as_str().into())])) {
                                (say("frame-sign-out"))
                            }
                        }
                    }
                }
            }
        }
    }
}
