//! TLS from a certificate and its key.

use std::path::Path;

use rustls::ServerConfig;
use rustls::pki_types::pem::{Error as PemError, PemObject};
use rustls::pki_types::{CertificateDer, PrivateKeyDer};

/// Reads a certificate with those that lead from it to an authority, its own first, and its key, both as PEM (RFC 7468).
/// TLS 1.2 and 1.3 are spoken, with what rustls takes for safe. What cannot be used is told by the option's name.
pub fn read(certificate: &Path, key: &Path) -> Result<ServerConfig, String> {
    let chain = CertificateDer::pem_file_iter(certificate)
        .and_then(Iterator::collect::<Result<Vec<_>, _>>)
        .map_err(|why| bad("--tls-certificate", certificate, &why))?;
    if chain.is_empty() {
        return Err(bad(
            "--tls-certificate",
            certificate,
            &PemError::NoItemsFound,
        ));
    }
    let key_of = PrivateKeyDer::from_pem_file(key).map_err(|why| bad("--tls-key", key, &why))?;
    ServerConfig::builder_with_provider(rustls::crypto::aws_lc_rs::default_provider().into())
        .with_safe_default_protocol_versions()
        .map_err(|why| format!("TLS: {why}"))?
        .with_no_client_auth()
        .with_single_cert(chain, key_of)
        .map_err(|why| {
            format!(
                "--tls-key: {} does not go with the certificate: {why}",
                key.display()
            )
        })
}

fn bad(option: &str, file: &Path, why: &PemError) -> String {
    let file = file.display();
    match why {
        PemError::Io(why) => format!("{option}: {file} cannot be read: {why}"),
        PemError::NoItemsFound => format!("{option}: {file} holds none in PEM, -----BEGIN …-----"),
        why => format!("{option}: {file} is not whole: {why}"),
    }
}
