//! The options that say how the service is served.

use std::net::TcpListener;
use std::path::PathBuf;
use std::time::Duration;

use crate::http::address::TrustedProxies;
use crate::http::serving::{Serving, Times};
use crate::http::tls;

/// How the service is served.
#[derive(clap::Args)]
pub struct ServingArgs {
    /// A proxy in front of the service, or a network of them: `10.0.0.7`, `10.0.0.0/8`. What it says in `X-Forwarded-For`,
    /// `X-Forwarded-Proto` and `X-Forwarded-Host` of how it was asked, and in `X-Request-Id`, counts. Several are told by
    /// commas.
    #[arg(
        long,
        env = "ROUNDHAND_TRUSTED_PROXIES",
        value_name = "ADDRESSES",
        value_delimiter = ','
    )]
    trusted_proxies: Vec<String>,
    /// File with the certificate to serve HTTPS with, in PEM, and those that lead from it to an authority.
    #[arg(long, env = "ROUNDHAND_TLS_CERTIFICATE", value_name = "FILE")]
    tls_certificate: Option<PathBuf>,
    /// File with the certificate's key, in PEM.
    #[arg(long, env = "ROUNDHAND_TLS_KEY", value_name = "FILE")]
    tls_key: Option<PathBuf>,
    /// How long requests, plans and jobs under way may take to end when the service is told to stop, s.
    #[arg(
        long,
        env = "ROUNDHAND_SHUTDOWN_SECONDS",
        value_name = "SECONDS",
        default_value_t = Times::default().shutdown.as_secs(),
        value_parser = clap::value_parser!(u64).range(1..=600)
    )]
    shutdown_seconds: u64,
}

impl ServingArgs {
    /// The settings these come to; what is wrong is told by the option's name.
    pub fn settings(&self) -> Result<Serving, String> {
        let proxies = self.trusted_proxies.iter().map(String::as_str);
        let named = proxies.filter(|text| !text.trim().is_empty());
        // A variable that is set to nothing is as good as not set.
        let given =
            |file: &Option<PathBuf>| file.clone().filter(|file| !file.as_os_str().is_empty());
        let tls = match (given(&self.tls_certificate), given(&self.tls_key)) {
            (Some(certificate), Some(key)) => Some(tls::read(&certificate, &key)?),
            (None, None) => None,
            (Some(_), None) => {
                return Err("--tls-certificate: name its key too, with --tls-key".into());
            }
            (None, Some(_)) => {
                return Err("--tls-key: name its certificate too, with --tls-certificate".into());
            }
        };
        Ok(Serving {
            proxies: TrustedProxies::read(named)
                .map_err(|why| format!("--trusted-proxies: {why}"))?,
            tls,
            times: Times {
                shutdown: Duration::from_secs(self.shutdown_seconds),
                ..Times::default()
            },
            ..Serving::default()
        })
    }
}

/// Where the service tells what it counts of itself.
#[derive(clap::Args)]
pub struct SightArgs {
    /// Where to tell what the service counts of itself, at /metrics in the text format of Prometheus: an address of its
    /// own, which is not for everybody. `off` for nowhere; port 0 takes any free one.
    #[arg(long, env = "ROUNDHAND_METRICS_BIND", value_name = "ADDRESS:PORT")]
    metrics_bind: Option<String>,
}

impl SightArgs {
    /// The listener, where there is to be one. An address that was asked for must be free; of `usual`, which nobody asked
    /// for, it is only said that it is taken.
    pub fn listener(&self, usual: Option<&str>) -> Result<Option<TcpListener>, String> {
        let asked = self
            .metrics_bind
            .as_deref()
            .filter(|text| !text.trim().is_empty());
        let bind = match asked.or(usual) {
            None | Some("off") => return Ok(None),
            Some(bind) => bind,
        };
        match TcpListener::bind(bind) {
            Ok(listener) => {
                let address = listener.local_addr().map_err(|e| e.to_string())?;
                tracing::info!(%address, "telling counts");
                Ok(Some(listener))
            }
            Err(why) if asked.is_some() => Err(format!(
                "--metrics-bind: cannot listen on {bind}: {why}; name another address, or off"
            )),
            Err(why) => {
                tracing::warn!(
                    address = bind,
                    %why,
                    "nobody is told counts: name another address with --metrics-bind, or off"
                );
                Ok(None)
            }
        }
    }
}
