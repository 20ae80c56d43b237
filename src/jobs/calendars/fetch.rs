//! Asking an address for its calendar: within limits, and only where it may be asked.

use std::sync::Arc;
use std::time::Duration;

use ureq::config::Config;
use ureq::http::header::{ACCEPT, ETAG, IF_MODIFIED_SINCE, IF_NONE_MATCH, LAST_MODIFIED};
use ureq::http::{HeaderMap, HeaderName, StatusCode, Uri};
use ureq::tls::{Certificate, RootCerts, TlsConfig, TlsProvider};
use ureq::unversioned::resolver::{DefaultResolver, ResolvedSocketAddrs, Resolver};
use ureq::unversioned::transport::{DefaultConnector, NextTimeout};
use ureq::{Agent, Error};

use super::reach::is_public;
use crate::desk::calendars::import::MOST_BYTES;
use crate::store::calendars::Validators;

/// The whole of a fetch, redirects included.
const TIME: Duration = Duration::from_secs(20);
const REDIRECTS: u32 = 3;
/// Longest `ETag` or `Last-Modified` that is kept, bytes.
const VALIDATOR_BYTES: usize = 500;

/// What an address answered.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum Answer {
    /// A calendar, and what the server said of it.
    Calendar(String, Validators),
    /// The copy that was taken last is still the newest.
    Unchanged,
}

/// Asks `address`. `private`: the owner allows one in a private network, and there also plain http.
///
/// # Errors
/// Why nothing came, in plain words.
pub(super) fn fetch(address: &str, private: bool, known: &Validators) -> Result<Answer, String> {
    let agent = agent(private);
    let mut request = agent
        .get(address)
        .header(ACCEPT, "text/calendar, */*;q=0.1");
    if let Some(etag) = &known.etag {
        request = request.header(IF_NONE_MATCH, etag);
    }
    if let Some(modified) = &known.last_modified {
        request = request.header(IF_MODIFIED_SINCE, modified);
    }
    let mut answer = request.call().map_err(|error| plain(&error))?;
    match answer.status() {
        StatusCode::NOT_MODIFIED => return Ok(Answer::Unchanged),
        StatusCode::OK => {}
        other => return Err(format!("the address answers {}", other.as_u16())),
    }
    let said = Validators {
        etag: header(answer.headers(), &ETAG),
        last_modified: header(answer.headers(), &LAST_MODIFIED),
    };
    let most = u64::try_from(MOST_BYTES).unwrap_or(u64::MAX);
    let bytes = answer
        .body_mut()
        .with_config()
        .limit(most)
        .read_to_vec()
        .map_err(|error| plain(&error))?;
    let text =
        String::from_utf8(bytes).map_err(|_| "the calendar is not written in UTF-8".to_owned())?;
    Ok(Answer::Calendar(text, said))
}

fn header(headers: &HeaderMap, name: &HeaderName) -> Option<String> {
    let text = headers.get(name)?.to_str().ok()?;
    (text.len() <= VALIDATOR_BYTES).then(|| text.to_owned())
}

fn agent(private: bool) -> Agent {
    let found = rustls_native_certs::load_native_certs();
    let roots: Vec<Certificate<'static>> = found
        .certs
        .iter()
        .map(|der| Certificate::from_der(der).to_owned())
        .collect();
    let tls = TlsConfig::builder()
        .provider(TlsProvider::Rustls)
        .unversioned_rustls_crypto_provider(Arc::new(rustls::crypto::aws_lc_rs::default_provider()))
        .root_certs(RootCerts::Specific(Arc::new(roots)))
        .build();
    let config = Config::builder()
        .https_only(!private)
        // A proxy would be asked in place of the address that was looked at.
        .proxy(None)
        .tls_config(tls)
        .timeout_global(Some(TIME))
        .max_redirects(REDIRECTS)
        .max_redirects_will_error(true)
        .http_status_as_error(false)
        .user_agent("roundhand")
        .build();
    let resolver = Guarded {
        names: DefaultResolver::default(),
        private,
    };
    Agent::with_parts(config, DefaultConnector::default(), resolver)
}

/// Looks at the addresses that are connected to, for each redirect anew: a name that is looked up twice could lead
/// elsewhere the second time.
#[derive(Debug)]
struct Guarded {
    names: DefaultResolver,
    private: bool,
}

/// Why a fetch was stopped before it began.
#[derive(Debug, thiserror::Error)]
#[error(
    "the address lies in a private network or on this machine: the owner of the installation may allow that"
)]
struct OutOfReach;

impl Resolver for Guarded {
    fn resolve(
        &self,
        uri: &Uri,
        config: &Config,
        timeout: NextTimeout,
    ) -> Result<ResolvedSocketAddrs, Error> {
        if !self.private && uri.scheme_str() != Some("https") {
            return Err(Error::RequireHttpsOnly("no https".into()));
        }
        let found = self.names.resolve(uri, config, timeout)?;
        // One that is out of reach shuts out the name: whoever set it up did not mean a public calendar.
        let in_reach = self.private || found.iter().all(|address| is_public(address.ip()));
        in_reach
            .then_some(found)
            .ok_or_else(|| Error::Other(Box::new(OutOfReach)))
    }
}

/// What went wrong, without the address: it may hold a secret.
fn plain(error: &Error) -> String {
    match error {
        Error::Other(why) if why.is::<OutOfReach>() => why.to_string(),
        Error::Timeout(_) => "the address did not answer within 20 seconds".into(),
        Error::BodyExceedsLimit(_) => "the calendar is larger than 2 MB".into(),
        Error::TooManyRedirects => "the address leads on more than three times".into(),
        Error::RequireHttpsOnly(_) => "the address leads to one that is not https".into(),
        Error::HostNotFound => "no such host is known".into(),
        Error::Io(why) if why.kind() == std::io::ErrorKind::ConnectionRefused => {
            "nobody answers at the address".into()
        }
        Error::BadUri(_) | Error::Http(_) => "this is no web address".into(),
        Error::Rustls(_) | Error::Tls(_) => {
            "the address does not prove who it is: its certificate does not hold".into()
        }
        _ => "the connection failed".into(),
    }
}

#[cfg(test)]
mod tests {
    use std::io::{Read, Write};
    use std::net::TcpListener;

    use super::*;

    /// A server that gives these answers, one a connection; its address.
    fn server(answers: Vec<String>) -> String {
        let listener = TcpListener::bind("127.0.0.1:0").unwrap();
        let base = format!("http://{}", listener.local_addr().unwrap());
        std::thread::spawn(move || {
            for answer in answers {
                let (mut stream, _) = listener.accept().unwrap();
                assert!(stream.read(&mut [0; 4_096]).unwrap() > 0);
                stream.write_all(answer.as_bytes()).ok();
            }
        });
        base
    }

    fn answer(head: &str, body: &str) -> String {
        format!(
            "HTTP/1.1 {head}\r\ncontent-length: {}\r\nconnection: close\r\n\r\n{body}",
            body.len()
        )
    }

    fn known() -> Validators {
        Validators::default()
    }

    #[test]
    fn an_address_on_this_machine_is_never_connected_to_unless_the_owner_allows_it() {
        for address in [
            "https://127.0.0.1:9/a.ics",
            "https://localhost/a.ics",
            "https://[::1]/a.ics",
            "https://0x7f.1/a.ics",
        ] {
            let why = fetch(address, false, &known()).unwrap_err();
            assert!(
                why.contains("private network") || why.contains("no such host"),
                "{address}: {why}"
            );
        }
        let base = server(vec![answer("200 OK\r\netag: \"1\"", "BEGIN")]);
        let said = Validators {
            etag: Some("\"1\"".into()),
            last_modified: None,
        };
        assert_eq!(
            fetch(&base, true, &known()),
            Ok(Answer::Calendar("BEGIN".into(), said))
        );
    }

    #[test]
    fn plain_http_is_refused_unless_the_owner_allows_a_private_network() {
        assert_eq!(
            fetch("http://192.0.2.1/", false, &known()).unwrap_err(),
            "the address leads to one that is not https"
        );
    }

    #[test]
    fn a_server_may_say_that_nothing_is_new_and_what_is_not_a_calendar_is_told() {
        let base = server(vec![
            answer("304 Not Modified", ""),
            answer("404 Not Found", ""),
        ]);
        assert_eq!(fetch(&base, true, &known()), Ok(Answer::Unchanged));
        assert_eq!(
            fetch(&base, true, &known()),
            Err("the address answers 404".into())
        );
    }

    #[test]
    fn an_address_that_leads_on_and_on_or_sends_too_much_is_left() {
        let on = || answer("302 Found\r\nlocation: /on", "");
        let base = server((0..5).map(|_| on()).collect());
        assert_eq!(
            fetch(&base, true, &known()),
            Err("the address leads on more than three times".into())
        );
        let base = server(vec![answer("200 OK", &"x".repeat(MOST_BYTES + 1))]);
        assert_eq!(
            fetch(&base, true, &known()),
            Err("the calendar is larger than 2 MB".into())
        );
    }
}
