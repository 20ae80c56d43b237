//! Somebody at the pages, without a browser: keeps cookies, follows nothing by itself, and looks
//! at every page for what no page may hold.

use reqwest::header::HeaderMap;
use reqwest::redirect::Policy;
use reqwest::{Method, StatusCode};
use roundhand::store::Role;

use crate::support::House;

/// A visitor with a cookie jar of its own.
pub struct Visitor {
    http: reqwest::Client,
    base: String,
}

/// What came back.
pub struct Shown {
    /// Status.
    pub status: StatusCode,
    /// Headers.
    pub headers: HeaderMap,
    /// The page, or whatever it was.
    pub html: String,
}

impl Visitor {
    /// Nobody signed in.
    pub fn nobody(house: &House) -> Self {
        Self::at(&house.base)
    }

    /// Nobody signed in, at another service.
    pub fn at(base: &str) -> Self {
        let http = reqwest::Client::builder()
            .cookie_store(true)
            .redirect(Policy::none())
            .build()
            .expect("a client");
        Self {
            http,
            base: base.to_owned(),
        }
    }

    /// Signed in as this role, through the form.
    pub async fn signed_in(house: &House, role: Role) -> Self {
        Self::signed_in_at(&house.base, house, role).await
    }

    /// Signed in as the owner of the installation.
    pub async fn owner(house: &House) -> Self {
        let visitor = Self::nobody(house);
        let owner = &house.set_up.owner;
        let form = [
            ("email", owner.email.as_str()),
            ("password", &owner.password),
        ];
        visitor.send("/sign-in", &form).await.leads_to("/");
        visitor
    }

    /// Signed in as this role at another service on the same data.
    pub async fn signed_in_at(base: &str, house: &House, role: Role) -> Self {
        let visitor = Self::at(base);
        let account = account(house, role);
        let form = [
            ("email", account.email.as_str()),
            ("password", &account.password),
        ];
        visitor.send("/sign-in", &form).await.leads_to("/");
        visitor
    }

    /// GET.
    pub async fn get(&self, path: &str) -> Shown {
        self.ask(Method::GET, path, &[], None).await
    }

    /// GET with these headers.
    pub async fn get_with(&self, path: &str, headers: &[(&str, &str)]) -> Shown {
        self.ask(Method::GET, path, headers, None).await
    }

    /// Sends a form as a browser does from one of our own pages over plain HTTP.
    pub async fn send(&self, path: &str, fields: &[(&str, &str)]) -> Shown {
        let origin = self.base.clone();
        self.send_with(path, &[("origin", &origin)], fields).await
    }

    /// Sends a form with these headers.
    pub async fn send_with(
        &self,
        path: &str,
        headers: &[(&str, &str)],
        fields: &[(&str, &str)],
    ) -> Shown {
        let body = serde_urlencoded::to_string(fields).expect("a form");
        self.ask(Method::POST, path, headers, Some(body)).await
    }

    /// Sends a form of one file, by RFC 7578, as a browser does from one of our own pages.
    pub async fn send_file(&self, path: &str, file: &str) -> Shown {
        self.send_bytes(path, file.as_bytes()).await
    }

    /// The same with a file that need not be a text.
    pub async fn send_bytes(&self, path: &str, file: &[u8]) -> Shown {
        let mut body =
            b"--edge\r\nContent-Disposition: form-data; name=\"file\"; filename=\"a.ics\"\r\n\
             Content-Type: text/calendar\r\n\r\n"
                .to_vec();
        body.extend_from_slice(file);
        body.extend_from_slice(b"\r\n--edge--\r\n");
        let form = "multipart/form-data; boundary=edge";
        let origin = self.base.clone();
        let headers = [("origin", origin.as_str())];
        self.ask_of(Method::POST, path, &headers, Some((form, body)))
            .await
    }

    /// The status of a file that is no text.
    pub async fn get_bytes(&self, path: &str) -> u16 {
        let request = self.http.get(format!("{}{path}", self.base));
        let answer = request.send().await.expect("the service answers");
        answer.status().as_u16()
    }

    async fn ask(
        &self,
        method: Method,
        path: &str,
        headers: &[(&str, &str)],
        form: Option<String>,
    ) -> Shown {
        let form = form.map(|form| ("application/x-www-form-urlencoded", form.into_bytes()));
        self.ask_of(method, path, headers, form).await
    }

    async fn ask_of(
        &self,
        method: Method,
        path: &str,
        headers: &[(&str, &str)],
        form: Option<(&str, Vec<u8>)>,
    ) -> Shown {
        let mut request = self.http.request(method, format!("{}{path}", self.base));
        for (name, value) in headers {
            request = request.header(*name, *value);
        }
        if let Some((media_type, form)) = form {
            request = request.header("content-type", media_type).body(form);
        }
        let answer = request.send().await.expect("the service answers");
        let (status, headers) = (answer.status(), answer.headers().clone());
        let html = answer.text().await.expect("the answer is text");
        let shown = Shown {
            status,
            headers,
            html,
        };
        shown.holds_what_every_answer_holds(path);
        shown
    }
}

impl Shown {
    /// A header's text.
    pub fn header(&self, name: &str) -> Option<&str> {
        self.headers.get(name).and_then(|v| v.to_str().ok())
    }

    /// The page, where the status is this.
    #[track_caller]
    pub fn page(&self, status: u16) -> &str {
        assert_eq!(self.status.as_u16(), status, "{}", self.html);
        let kind = self.header("content-type");
        assert_eq!(kind, Some("text/html; charset=utf-8"), "{}", self.html);
        &self.html
    }

    /// Where it leads; 303, so that a form is not sent twice.
    #[track_caller]
    pub fn leads_to(&self, place: &str) {
        assert_eq!(self.status.as_u16(), 303, "{}", self.html);
        assert_eq!(self.header("location"), Some(place));
    }

    /// The policy of every page: files of our own, nothing inline, in nobody's frame; and markup
    /// that keeps it.
    #[track_caller]
    fn holds_what_every_answer_holds(&self, path: &str) {
        let policy = self.header("content-security-policy").unwrap_or_default();
        for rule in [
            "default-src 'none'",
            "style-src 'self'",
            "img-src 'self'",
            "script-src 'self'",
            "connect-src 'self'",
            "form-action 'self'",
            "frame-ancestors 'none'",
            "base-uri 'none'",
        ] {
            assert!(
                policy.split("; ").any(|part| part == rule),
                "{path}: {policy}"
            );
        }
        assert!(!policy.contains("unsafe"), "{path}: {policy}");
        assert_eq!(self.header("x-content-type-options"), Some("nosniff"));
        if self
            .header("content-type")
            .is_none_or(|kind| !kind.starts_with("text/html"))
        {
            return;
        }
        assert_eq!(self.header("cache-control"), Some("no-store"), "{path}");
        for tag in self
            .html
            .split('<')
            .skip(1)
            .map(|rest| rest.split('>').next().unwrap_or(""))
        {
            assert!(!tag.contains(" style="), "{path}: <{tag}>");
            assert!(!tag.contains(" on"), "{path}: <{tag}>");
            assert!(
                tag != "style" && !tag.starts_with("style "),
                "{path}: <{tag}>"
            );
            assert!(
                !tag.starts_with("script") || tag.contains(" src="),
                "{path}: <{tag}>"
            );
        }
        for part in [
            "<html lang=\"en-US\">",
            "<title>",
            "<main ",
            "href=\"#content\"",
            "<h1",
        ] {
            assert!(self.html.contains(part), "{path} lacks {part}");
        }
    }
}

/// The account of a role.
pub fn account(house: &House, role: Role) -> &roundhand::desk::set_up::Account {
    house
        .set_up
        .accounts
        .iter()
        .find(|account| account.role == role)
        .expect("an account")
}

/// The value of a hidden field.
pub fn hidden(page: &str, name: &str) -> String {
    let field = format!("name=\"{name}\" value=\"");
    let value = page.split(&field).nth(1).expect("the field is there");
    let value = value.split('"').next().unwrap();
    value.replace("&quot;", "\"").replace("&amp;", "&")
}
