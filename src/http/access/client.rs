//! From where a request comes: the address at the other end, or what a trusted proxy says of it.
//!
//! Anybody can write anything into a header field, so only fields set by named proxies are read, and they are read from
//! their end: what stands there was added by the nearest proxy. Absent here: host and scheme; no answer names either.

use axum::http::Extensions;
use axum::http::HeaderMap;
use axum::http::HeaderName;
use axum::http::header;
use ipnet::IpNet;
use std::net::IpAddr;
use std::net::SocketAddr;

/// Where a request comes from. Put beside each request by the connection that it arrived on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Client {
    /// The address, where one is known.
    pub address: Option<IpAddr>,
    /// Whether somebody on this machine asks, with no proxy between.
    pub is_this_machine: bool,
}

/// The field in which proxies name the client.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum ProxyField {
    /// `X-Forwarded-For`: addresses parted by commas.
    #[default]
    XForwardedFor,
    /// `Forwarded` (RFC 7239): `for=…` in each entry.
    Forwarded,
}

/// Proxies whose word is taken, and the one field in which they give it.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Proxies {
    /// Their networks; none when the service is reached directly.
    pub networks: Vec<IpNet>,
    /// The field. The other one is never read: a proxy that sets one passes the other on as the client wrote it.
    pub field: ProxyField,
}

/// Fields that a proxy adds. Where one is present, somebody else than the peer may be asking.
const PROXY_FIELDS: [HeaderName; 4] = [
    HeaderName::from_static("x-forwarded-for"),
    HeaderName::from_static("x-real-ip"),
    header::FORWARDED,
    header::VIA,
];

impl Client {
    /// Somebody on this machine.
    pub const THIS_MACHINE: Self =
        Self { address: Some(IpAddr::V4(std::net::Ipv4Addr::LOCALHOST)), is_this_machine: true };

    /// Where a request comes from; unknown of a request that came over no connection.
    pub fn of(extensions: &Extensions) -> Self {
        extensions.get::<Self>().copied().unwrap_or_default()
    }
}

impl Proxies {
    /// Where a request comes from that arrived from a peer.
    ///
    /// ```
    /// use axum::http::HeaderMap;
    /// use rungwright::http::access::client::{Proxies, ProxyField};
    /// let proxies = Proxies { networks: vec!["10.0.0.0/8".parse().unwrap()], field: ProxyField::XForwardedFor };
    /// let mut headers = HeaderMap::new();
    /// headers.insert("x-forwarded-for", "127.0.0.1, 203.0.113.9, 10.0.0.2".parse().unwrap());
    /// let client = |peer: &str| proxies.client(peer.parse().unwrap(), &headers).address.unwrap().to_string();
    /// // The client wrote the first address itself; the proxy added the one that counts.
    /// assert_eq!(client("10.0.0.1:4000"), "203.0.113.9");
    /// // Nobody named this peer, so what it says of others is not heard.
    /// assert_eq!(client("198.51.100.7:4000"), "198.51.100.7");
    /// ```
    pub fn client(&self, peer: SocketAddr, headers: &HeaderMap) -> Client {
        let peer = peer.ip().to_canonical();
        let is_forwarded = PROXY_FIELDS.iter().any(|name| headers.contains_key(name));
        let is_this_machine = peer.is_loopback() && !is_forwarded;
        let address = if self.is_trusted(peer) { self.beyond(peer, headers) } else { peer };
        Client { address: Some(address), is_this_machine }
    }

    fn is_trusted(&self, address: IpAddr) -> bool {
        self.networks.iter().any(|network| network.contains(&address))
    }

    /// The first address from the end that is no trusted proxy; where the chain cannot be read, the last one that could.
    fn beyond(&self, peer: IpAddr, headers: &HeaderMap) -> IpAddr {
        let name = match self.field {
            ProxyField::XForwardedFor => &PROXY_FIELDS[0],
            ProxyField::Forwarded => &header::FORWARDED,
        };
        let values = headers.get_all(name).iter();
        let texts: Vec<&str> = values.map(|value| value.to_str().unwrap_or_default()).collect();
        let mut nearest = peer;
        for entry in texts.iter().rev().flat_map(|text| text.rsplit(',')) {
            let Some(address) = self.address(entry.trim()) else { return nearest };
            nearest = address;
            if !self.is_trusted(address) {
                return nearest;
            }
        }
        nearest
    }

    fn address(&self, entry: &str) -> Option<IpAddr> {
        match self.field {
            ProxyField::XForwardedFor => plain(entry),
            ProxyField::Forwarded => {
                let mut pairs = entry.split(';').filter_map(|pair| pair.trim().split_once('='));
                let (_, node) = pairs.find(|(name, _)| name.eq_ignore_ascii_case("for"))?;
                plain(node.trim_matches('"'))
            }
        }
    }
}

/// An address, with or without a port, of version 6 with or without brackets.
fn plain(text: &str) -> Option<IpAddr> {
    let bare = text.strip_prefix('[').and_then(|rest| rest.strip_suffix(']')).unwrap_or(text);
    let address = bare.parse::<IpAddr>().ok();
    address.or_else(|| text.parse::<SocketAddr>().ok().map(|socket| socket.ip())).map(canonical)
}

const fn canonical(address: IpAddr) -> IpAddr {
    address.to_canonical()
}
