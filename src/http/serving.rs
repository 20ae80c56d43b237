//! How the service is served: one value, which `serve`, `demo` and the tests give alike.

use std::time::Duration;

use rustls::ServerConfig;

use super::address::TrustedProxies;

/// How the service is served.
#[derive(Clone, Debug)]
pub struct Serving {
    /// Threads that read requests; what a request asks for is done on others.
    pub workers: usize,
    /// The proxies in front.
    pub proxies: TrustedProxies,
    /// The certificate and key of TLS; without, requests are taken as they come, from a proxy or on the loopback.
    pub tls: Option<ServerConfig>,
    /// How long things may take.
    pub times: Times,
}

/// How long things may take. The figures are our own.
#[derive(Clone, Copy, Debug)]
pub struct Times {
    /// From the connection, or the answer before, until a request's head is there.
    pub head: Duration,
    /// How long a connection is kept that asks for nothing.
    pub idle: Duration,
    /// From a request's head until its body is there: a tablet at the edge of the network is slow.
    pub body: Duration,
    /// From a request's head until its answer begins. Nothing the office does in a request takes as long; a search for
    /// a plan is no request.
    pub answer: Duration,
    /// After how long whoever watches a site is sent away, to be proved again.
    pub live: Duration,
    /// How long requests, plans and jobs that are under way may take to end when the service is told to.
    pub shutdown: Duration,
}

impl Default for Times {
    fn default() -> Self {
        Self {
            head: Duration::from_secs(10),
            idle: Duration::from_secs(30),
            body: Duration::from_secs(20),
            answer: Duration::from_secs(30),
            live: Duration::from_mins(5),
            shutdown: Duration::from_secs(30),
        }
    }
}

impl Default for Serving {
    fn default() -> Self {
        Self {
            workers: 2,
            proxies: TrustedProxies::default(),
            tls: None,
            times: Times::default(),
        }
    }
}
