//! Where a request comes from: the peer, or behind proxies that are trusted the address that the last of them saw.

use std::future::{Ready, ready};
use std::net::IpAddr;

use actix_web::dev::Payload;
use actix_web::{FromRequest, HttpRequest, web};
use ipnet::IpNet;

use super::problem::Problem;

/// The proxies in front of the service. What they say of where a request comes from counts, and nobody else's word.
#[derive(Clone, Debug, Default)]
pub struct TrustedProxies(Vec<IpNet>);

impl TrustedProxies {
    /// These networks, `10.0.0.0/8`, or single addresses.
    pub fn read<'a>(texts: impl IntoIterator<Item = &'a str>) -> Result<Self, String> {
        let read = |text: &str| {
            let network = text
                .parse()
                .or_else(|_| text.parse::<IpAddr>().map(IpNet::from));
            network
                .map_err(|_| format!("{text}: name an address, 10.0.0.7, or a network, 10.0.0.0/8"))
        };
        let all: Result<Vec<IpNet>, String> =
            texts.into_iter().map(|text| read(text.trim())).collect();
        all.map(Self)
    }

    /// Whether this is one of them.
    pub fn holds(&self, address: IpAddr) -> bool {
        let address = address.to_canonical();
        self.0.iter().any(|network| network.contains(&address))
    }

    /// The address behind a peer that handed these on, the nearest last (`X-Forwarded-For`): the last one that no trusted
    /// proxy has. What stands before it anybody may have written.
    fn behind<'a>(
        &self,
        peer: IpAddr,
        handed_on: impl DoubleEndedIterator<Item = &'a str>,
    ) -> IpAddr {
        let mut nearest = peer;
        for text in handed_on.rev() {
            if !self.holds(nearest) {
                break;
            }
            match text.trim().parse() {
                Ok(address) => nearest = address,
                Err(_) => break,
            }
        }
        nearest.to_canonical()
    }
}

/// Where a request comes from, as far as that is known.
#[derive(Clone, Copy, Debug)]
pub struct ClientAddress(pub Option<IpAddr>);

impl ClientAddress {
    /// That of a request.
    pub fn of(req: &HttpRequest) -> Self {
        let trusted = req.app_data::<web::Data<TrustedProxies>>();
        let peer = req.peer_addr().map(|peer| peer.ip());
        let headers: Vec<&str> = req
            .headers()
            .get_all("x-forwarded-for")
            .filter_map(|value| value.to_str().ok())
            .flat_map(|value| value.split(','))
            .collect();
        Self(peer.map(|peer| match trusted {
            Some(trusted) => trusted.behind(peer, headers.iter().copied()),
            None => peer,
        }))
    }
}

impl FromRequest for ClientAddress {
    type Error = Problem;
    type Future = Ready<Result<Self, Problem>>;

    fn from_request(req: &HttpRequest, _: &mut Payload) -> Self::Future {
        ready(Ok(Self::of(req)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn behind(trusted: &[&str], peer: &str, handed_on: &[&str]) -> String {
        let trusted = TrustedProxies::read(trusted.iter().copied()).unwrap();
        trusted
            .behind(peer.parse().unwrap(), handed_on.iter().copied())
            .to_string()
    }

    #[test]
    fn only_a_trusted_proxy_is_believed_and_only_as_far_as_it_could_see() {
        let proxy = ["10.0.0.0/8"];
        assert_eq!(behind(&proxy, "10.0.0.1", &["192.0.2.7"]), "192.0.2.7");
        assert_eq!(behind(&proxy, "192.0.2.9", &["192.0.2.7"]), "192.0.2.9");
        assert_eq!(behind(&[], "10.0.0.1", &["192.0.2.7"]), "10.0.0.1");
        // Whoever asks may have written the first one; the proxy adds where it was asked from.
        assert_eq!(
            behind(&proxy, "10.0.0.1", &["127.0.0.1", "192.0.2.7"]),
            "192.0.2.7"
        );
        assert_eq!(
            behind(&proxy, "10.0.0.1", &["192.0.2.7", "10.0.0.2"]),
            "192.0.2.7"
        );
        assert_eq!(behind(&proxy, "10.0.0.1", &["nonsense"]), "10.0.0.1");
        assert_eq!(
            behind(&["::1", "10.0.0.1"], "::ffff:10.0.0.1", &["2001:db8::7"]),
            "2001:db8::7"
        );
    }

    #[test]
    fn what_is_no_network_is_named() {
        assert!(
            TrustedProxies::read(["10.0.0.0/33"])
                .unwrap_err()
                .contains("10.0.0.0/33")
        );
    }
}
