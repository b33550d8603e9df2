//! Serves the app: over http on this machine, over https for phones, or as a folder for any static host.
//!
//! Nothing is computed here; the app computes in the browser.

mod certificate;
mod files;

use std::net::{IpAddr, SocketAddr, UdpSocket};
use std::path::{Path, PathBuf};

use axum::Router;
use axum::http::{HeaderMap, HeaderValue, StatusCode, Uri, header};
use axum::response::{IntoResponse, Response};
use axum_server::Handle;
use axum_server::tls_rustls::RustlsConfig;

pub use certificate::{Made, make};
pub use files::{export, names};

/// How the connection is secured. Browsers keep an app for use without a network only from https or from this very machine.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Security {
    /// Not at all: for this machine.
    Plain,
    /// With a certificate and its key, both PEM files.
    Certificate {
        /// The certificate, with what it was signed by.
        certificate: PathBuf,
        /// Its private key.
        key: PathBuf,
    },
}

/// Why nothing is served.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    /// The address is taken, or not this machine's.
    #[error("can't listen at {address}: {why}")]
    Listen {
        /// The address.
        address: SocketAddr,
        /// What the system says.
        why: std::io::Error,
    },
    /// The certificate or its key can't be used.
    #[error("the certificate {certificate} with the key {key} can't be used: {why}")]
    Certificate {
        /// The certificate.
        certificate: String,
        /// The key.
        key: String,
        /// What is wrong.
        why: String,
    },
    /// A file can't be written.
    #[error("can't write {path}: {why}")]
    Write {
        /// Where.
        path: String,
        /// What the system says.
        why: std::io::Error,
    },
    /// The folder holds something else.
    #[error("{path} is not empty, and what is in it is not this app; give an empty or a new folder")]
    NotEmpty {
        /// The folder.
        path: String,
    },
    /// No certificate could be made.
    #[error("no certificate could be made: {0}")]
    Make(String),
    /// The runtime could not start.
    #[error("can't start: {0}")]
    Start(std::io::Error),
}

/// Serves until the process ends. `listening` is called once with the address that was bound.
///
/// # Errors
/// [`Error`].
pub fn serve(
    address: SocketAddr,
    security: &Security,
    listening: impl FnOnce(SocketAddr),
) -> Result<(), Error> {
    let runtime = tokio::runtime::Runtime::new().map_err(Error::Start)?;
    runtime.block_on(serving(address, security, listening))
}

async fn serving(
    address: SocketAddr,
    security: &Security,
    listening: impl FnOnce(SocketAddr),
) -> Result<(), Error> {
    let router = Router::new().fallback(file).into_make_service();
    let listen = |why| Error::Listen { address, why };
    let listener = std::net::TcpListener::bind(address).map_err(listen)?;
    listener.set_nonblocking(true).map_err(listen)?;
    let bound = listener.local_addr().map_err(listen)?;
    let handle = Handle::new();
    match security {
        Security::Plain => {
            let server = axum_server::from_tcp(listener).map_err(listen)?.handle(handle);
            listening(bound);
            server.serve(router).await.map_err(listen)
        }
        Security::Certificate { certificate, key } => {
            let config = tls(certificate, key).await?;
            let server = axum_server::from_tcp_rustls(listener, config).map_err(listen)?.handle(handle);
            listening(bound);
            server.serve(router).await.map_err(listen)
        }
    }
}

async fn tls(certificate: &Path, key: &Path) -> Result<RustlsConfig, Error> {
    // A second server in one process finds the provider installed, which is as good.
    let _ = rustls::crypto::ring::default_provider().install_default();
    RustlsConfig::from_pem_file(certificate, key).await.map_err(|why| Error::Certificate {
        certificate: certificate.display().to_string(),
        key: key.display().to_string(),
        why: why.to_string(),
    })
}

/// A file of the app.
async fn file(uri: Uri, asked: HeaderMap) -> Response {
    let path = uri.path().trim_start_matches('/');
    let name = if path.is_empty() { "index.html" } else { path };
    let kind = HeaderValue::from_static(files::kind(name));
    let headers = [
        (header::CONTENT_TYPE, kind),
        // The worker that keeps the app asks again by itself; nothing else may answer with an old file.
        (header::CACHE_CONTROL, HeaderValue::from_static("no-cache")),
        (header::X_CONTENT_TYPE_OPTIONS, HeaderValue::from_static("nosniff")),
        (header::CONTENT_SECURITY_POLICY, HeaderValue::from_static(POLICY)),
    ];
    let accepted =
        asked.get(header::ACCEPT_ENCODING).and_then(|value| value.to_str().ok()).unwrap_or_default();
    let takes = |coding: &str| {
        // "br;q=0" refuses it (RFC 9110, 12.5.3).
        accepted.split(',').any(|one| {
            let (name, weight) = one.split_once(';').unwrap_or((one, ""));
            name.trim() == coding && !matches!(weight.trim(), "q=0" | "q=0.0" | "q=0.00" | "q=0.000")
        })
    };
    let vary = (header::VARY, HeaderValue::from_static("accept-encoding"));
    match files::packed(name, takes) {
        Some((coding, packed)) => {
            (headers, [(header::CONTENT_ENCODING, HeaderValue::from_static(coding)), vary], packed)
                .into_response()
        }
        None => match files::get(name) {
            Some(bytes) => (headers, [vary], bytes).into_response(),
            None => (StatusCode::NOT_FOUND, "there is no such file in the app\n").into_response(),
        },
    }
}

/// Only what comes with the app runs, and nothing is sent anywhere.
const POLICY: &str = "default-src 'self'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self' 'unsafe-inline'; \
                      img-src 'self' data: blob:; connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

/// The address under which other devices of the local network reach this machine, if it has one. Sends nothing.
pub fn local_address() -> Option<IpAddr> {
    let socket = UdpSocket::bind("0.0.0.0:0").ok()?;
    // An address reserved for documentation (RFC 5737): the system only chooses the way.
    socket.connect("192.0.2.1:9").ok()?;
    let address = socket.local_addr().ok()?.ip();
    (!address.is_loopback() && !address.is_unspecified()).then_some(address)
}
