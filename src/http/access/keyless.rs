//! How often an address may ask without a key that holds.
//!
//! A host of version 6 commands a whole network of 2^64 addresses, so those count by network. Absent here: keys, which
//! each have a bucket of their own.

use std::collections::BTreeMap;
use std::net::IpAddr;
use std::net::Ipv6Addr;
use std::sync::Mutex;
use std::sync::PoisonError;

use crate::domain::access::Bucket;
use crate::domain::access::PerMinute;
use crate::domain::access::Taken;

/// Most addresses remembered at once: a few megabytes. Beyond it those are forgotten whose bucket is full again, and if
/// there are none, strangers share one bucket.
pub const ADDRESSES_MAX: usize = 50_000;

/// Bits of an address of version 6 that stay with one host.
const HOST_BITS: u32 = 64;

/// The buckets of all addresses.
#[derive(Debug)]
pub struct Keyless {
    limit: PerMinute,
    buckets: Mutex<Buckets>,
}

type Buckets = BTreeMap<Option<IpAddr>, Bucket>;

impl Keyless {
    /// So often for each.
    pub fn new(limit: PerMinute) -> Self {
        Self { limit, buckets: Mutex::default() }
    }

    /// How often.
    pub const fn limit(&self) -> PerMinute {
        self.limit
    }

    /// Counts a request of an address.
    pub fn take(&self, address: Option<IpAddr>, at_ns: u64) -> Taken {
        let mut buckets = self.buckets.lock().unwrap_or_else(PoisonError::into_inner);
        let counted = address.map(counted);
        let place = if ADDRESSES_MAX <= buckets.len() && !buckets.contains_key(&counted) {
            make_room(&mut buckets, at_ns);
            if ADDRESSES_MAX <= buckets.len() { None } else { counted }
        } else {
            counted
        };
        buckets.entry(place).or_default().take(self.limit, at_ns)
    }
}

fn make_room(buckets: &mut Buckets, at_ns: u64) {
    buckets.retain(|_, bucket| !bucket.is_full(at_ns));
}

/// What an address counts as.
fn counted(address: IpAddr) -> IpAddr {
    match address {
        IpAddr::V4(_) => address,
        IpAddr::V6(address) => {
            let network = u128::from(address).checked_shr(HOST_BITS).unwrap_or(0);
            let first = network.checked_shl(HOST_BITS).unwrap_or(0);
            IpAddr::V6(Ipv6Addr::from(first))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_host_of_version_6_counts_once_and_a_flood_of_addresses_is_held() {
        let keyless = Keyless::new(PerMinute::new(2).unwrap());
        let ask = |text: &str| keyless.take(Some(text.parse().unwrap()), 0).is_granted;
        assert!(ask("2001:db8::1") && ask("2001:db8::2") && !ask("2001:db8::3"));
        assert!(ask("2001:db8:0:1::1") && ask("192.0.2.1"));
        for number in 0..60_000_u32 {
            keyless.take(Some(IpAddr::V4(number.into())), 0);
        }
        assert_eq!(keyless.buckets.lock().unwrap().len(), ADDRESSES_MAX + 1);
        // Those that were there keep their own bucket; a stranger shares one that is empty by now.
        assert!(ask("192.0.2.1") && !ask("198.51.100.1"));
        assert!(keyless.take(Some("198.51.100.1".parse().unwrap()), 61_000_000_000).is_granted);
    }
}
