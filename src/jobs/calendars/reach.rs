//! Which addresses a calendar may be fetched from: the open internet, not the machine itself or the network around it,
//! so that nobody can have the service ask what only its own network may.

use std::net::{IpAddr, Ipv4Addr, Ipv6Addr};

/// Whether an address lies in the open internet. Source of the ranges: the IANA special-purpose address registries
/// (RFC 6890 and its updates), from memory.
pub(super) fn is_public(address: IpAddr) -> bool {
    match address {
        IpAddr::V4(v4) => is_public_v4(v4),
        IpAddr::V6(v6) => is_public_v6(v6),
    }
}

fn is_public_v4(address: Ipv4Addr) -> bool {
    let [a, b, c, _] = address.octets();
    let shut = address.is_loopback()
        || address.is_private()
        || address.is_link_local()
        || address.is_multicast()
        || address.is_broadcast()
        || address.is_documentation()
        // This network (RFC 791), shared by carriers (RFC 6598), protocol assignments (RFC 6890), 6to4 relays
        // (RFC 7526), benchmarks (RFC 2544), reserved (RFC 1112).
        || a == 0
        || (a == 100 && (64..128).contains(&b))
        || (a == 192 && b == 0 && c == 0)
        || (a == 192 && b == 88 && c == 99)
        || (a == 198 && (b == 18 || b == 19))
        || a >= 240;
    !shut
}

fn is_public_v6(address: Ipv6Addr) -> bool {
    if let Some(inside) = v4_inside(address) {
        return is_public_v4(inside);
    }
    let [first, second, ..] = address.segments();
    // Only 2000::/3 is given out for the open internet (RFC 4291): loopback, unique local, link-local and multicast lie
    // outside. Documentation (RFC 3849, RFC 9637) and protocol assignments, Teredo among them (RFC 2928), lie inside.
    (first & 0xe000) == 0x2000
        && !(first == 0x2001 && second == 0x0db8)
        && !(first == 0x3fff && second < 0x1000)
        && !(first == 0x2001 && second < 0x0200)
}

/// The address of the older kind that one of the newer kind leads to: mapped (RFC 4291), by NAT64 (RFC 6052, RFC 8215)
/// or by 6to4 (RFC 3056).
fn v4_inside(address: Ipv6Addr) -> Option<Ipv4Addr> {
    let s = address.segments();
    let of = |high: u16, low: u16| {
        let ([a, b], [c, d]) = (high.to_be_bytes(), low.to_be_bytes());
        Ipv4Addr::new(a, b, c, d)
    };
    match s {
        [0, 0, 0, 0, 0, 0xffff, high, low]
        | [0x64, 0xff9b, 0, 0, 0, 0, high, low]
        | [0x2002, high, low, ..] => Some(of(high, low)),
        // A network's own NAT64: its prefix may be of any length, so that nothing under it is taken for public.
        [0x64, 0xff9b, 1, ..] => Some(Ipv4Addr::UNSPECIFIED),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn public(text: &str) -> bool {
        is_public(text.parse().unwrap())
    }

    #[test]
    fn the_machine_itself_and_the_network_around_it_are_out_of_reach() {
        for address in [
            "127.0.0.1",
            "127.8.8.8",
            "0.0.0.0",
            "10.0.0.1",
            "172.16.0.1",
            "172.31.255.255",
            "192.168.1.1",
            "169.254.169.254",
            "100.64.0.1",
            "100.127.255.255",
            "224.0.0.1",
            "255.255.255.255",
            "240.0.0.1",
            "198.18.0.1",
            "192.0.0.8",
            "192.88.99.1",
            "203.0.113.1",
            "::",
            "::1",
            "fc00::1",
            "fd12:3456::1",
            "fe80::1",
            "ff02::1",
            "2001:db8::1",
            "2001::1",
            "3fff::1",
        ] {
            assert!(!public(address), "{address}");
        }
    }

    #[test]
    fn an_address_of_the_older_kind_is_not_hidden_in_one_of_the_newer() {
        for address in [
            "::ffff:127.0.0.1",
            "::ffff:10.0.0.1",
            "64:ff9b::7f00:1",
            "64:ff9b::a00:1",
            "64:ff9b:1::808:808",
            "2002:7f00:1::",
            "2002:a00:1::1",
            "::7f00:1",
        ] {
            assert!(!public(address), "{address}");
        }
        assert!(public("64:ff9b::808:808"));
        assert!(public("::ffff:8.8.8.8"));
    }

    #[test]
    fn the_open_internet_is_in_reach() {
        for address in [
            "8.8.8.8",
            "100.63.255.255",
            "100.128.0.1",
            "172.32.0.1",
            "192.1.0.1",
            "2600::1",
            "2a00:1450::1",
        ] {
            assert!(public(address), "{address}");
        }
    }
}
