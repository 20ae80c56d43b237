//! How a browser reached the service: by which scheme, at which host. Of both, a proxy's word counts where it is one of
//! ours, and nobody else's: anybody may write `X-Forwarded-Proto`.

use std::net::IpAddr;

use actix_web::http::header::{self, HeaderName};
use actix_web::http::uri::Authority;
use actix_web::{HttpRequest, web};

use super::address::TrustedProxies;

/// What proxies say of the scheme and the host they were asked by.
const PROTO: HeaderName = HeaderName::from_static("x-forwarded-proto");
const HOST: HeaderName = HeaderName::from_static("x-forwarded-host");

/// How a request reached the service.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Reached {
    /// By HTTPS, as far as our own listener or a trusted proxy saw.
    pub https: bool,
    /// Host and port, as the browser knows them.
    pub host: String,
}

impl Reached {
    /// How this request did.
    pub fn by(req: &HttpRequest) -> Self {
        let told = |name: &HeaderName| {
            let value = req.headers().get_all(name).last()?.to_str().ok()?;
            // Where several stand, the last is what the nearest proxy wrote.
            value.rsplit(',').next().map(str::trim)
        };
        let by_proxy = from_a_proxy(req);
        let proto = told(&PROTO).filter(|_| by_proxy);
        let host = told(&HOST).filter(|_| by_proxy);
        let own = || {
            // HTTP/2 has it in the request's own address (RFC 9113 section 8.3.1).
            let named = req
                .headers()
                .get(header::HOST)
                .and_then(|v| v.to_str().ok());
            named.or_else(|| req.uri().authority().map(Authority::as_str))
        };
        Self {
            https: req.app_config().secure()
                || proto.is_some_and(|p| p.eq_ignore_ascii_case("https")),
            host: host.or_else(own).unwrap_or_default().to_owned(),
        }
    }

    /// Whether the browser and the service are on one machine, where nobody listens between them.
    pub fn on_loopback(&self) -> bool {
        let name = match self.host.strip_prefix('[') {
            Some(rest) => rest.split(']').next().unwrap_or_default(),
            None => self.host.split(':').next().unwrap_or_default(),
        };
        let name = name.to_ascii_lowercase();
        // RFC 6761 section 6.3 keeps these names for the loopback.
        name == "localhost"
            || name.ends_with(".localhost")
            || name
                .parse::<IpAddr>()
                .is_ok_and(|address| address.to_canonical().is_loopback())
    }
}

/// Whether a request comes from a trusted proxy.
pub fn from_a_proxy(req: &HttpRequest) -> bool {
    let trusted = req.app_data::<web::Data<TrustedProxies>>();
    let peer = req.peer_addr().map(|peer| peer.ip());
    trusted
        .zip(peer)
        .is_some_and(|(trusted, peer)| trusted.holds(peer))
}

#[cfg(test)]
mod tests {
    use actix_web::test::TestRequest;

    use super::*;

    fn reached(peer: &str, headers: &[(&'static str, &'static str)]) -> Reached {
        let trusted = TrustedProxies::read(["10.0.0.0/8"]).unwrap();
        let mut req = TestRequest::default()
            .peer_addr(format!("{peer}:9").parse().unwrap())
            .app_data(web::Data::new(trusted));
        for header in headers {
            req = req.insert_header(*header);
        }
        Reached::by(&req.to_http_request())
    }

    #[test]
    fn a_scheme_and_a_host_are_believed_from_a_trusted_proxy_alone() {
        let told = [
            ("host", "inner:8080"),
            ("x-forwarded-proto", "https"),
            ("x-forwarded-host", "courts.example.org"),
        ];
        let by_proxy = reached("10.0.0.7", &told);
        assert!(by_proxy.https && by_proxy.host == "courts.example.org");
        let by_anybody = reached("192.0.2.7", &told);
        assert!(!by_anybody.https && by_anybody.host == "inner:8080");
        // What stands before the last anybody may have written.
        let added = [("host", "inner:8080"), ("x-forwarded-proto", "https, http")];
        assert!(!reached("10.0.0.7", &added).https);
        let forwarded = [
            ("host", "inner:8080"),
            ("forwarded", "proto=https;host=elsewhere.example"),
        ];
        assert!(!reached("192.0.2.7", &forwarded).https);
        assert_eq!(reached("192.0.2.7", &forwarded).host, "inner:8080");
    }

    #[test]
    fn the_loopback_is_known_by_its_names_and_addresses() {
        let on = |host: &str| {
            let host = host.to_owned();
            Reached { https: false, host }.on_loopback()
        };
        for host in [
            "localhost",
            "localhost:8080",
            "LOCALHOST",
            "a.localhost",
            "127.0.0.1:80",
            "127.9.9.9",
            "[::1]:80",
        ] {
            assert!(on(host), "{host}");
        }
        for host in [
            "",
            "localhost.example.org",
            "192.0.2.7",
            "[2001:db8::1]:80",
            "127.0.0.1.example.org",
        ] {
            assert!(!on(host), "{host}");
        }
    }
}
