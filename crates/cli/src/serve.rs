//! Serves the app, or writes it out: what the system needs to know, and what the person is told.

use std::net::{IpAddr, Ipv4Addr, SocketAddr};
use std::path::PathBuf;

use stemwise_answer::Error;
use stemwise_serve::{Made, Security, export, local_address, make, serve};

use crate::args;
use crate::files;

fn host(error: &stemwise_serve::Error) -> Error {
    Error::Host { say: error.to_string() }
}

/// Serves until the process is stopped; returns only where it can't, or where the app was written out.
pub(crate) fn run(it: &args::Serve) -> Result<String, Error> {
    if let Some(folder) = &it.export {
        let count = export(folder).map_err(|error| host(&error))?;
        return Ok(format!(
            "Wrote the app, {count} files, to {}. Copy them to any host that serves files over https.\n",
            folder.display()
        ));
    }
    let (security, made) = security(it)?;
    let everywhere = it.network || it.certificate.is_some();
    let address = if everywhere { Ipv4Addr::UNSPECIFIED } else { Ipv4Addr::LOCALHOST };
    let mut trouble = Ok(());
    let listening = |bound: SocketAddr| {
        trouble = files::print(&told(bound, security != Security::Plain, made.as_ref()));
    };
    serve(SocketAddr::new(IpAddr::V4(address), it.port), &security, listening)
        .map_err(|error| host(&error))?;
    trouble.map(|()| String::new())
}

fn security(it: &args::Serve) -> Result<(Security, Option<Made>), Error> {
    if let (Some(certificate), Some(key)) = (&it.certificate, &it.key) {
        return Ok((Security::Certificate { certificate: certificate.clone(), key: key.clone() }, None));
    }
    if !it.network {
        return Ok((Security::Plain, None));
    }
    let addresses: Vec<IpAddr> =
        [IpAddr::V4(Ipv4Addr::LOCALHOST)].into_iter().chain(local_address()).collect();
    let made = make(&kept(), &["localhost".into()], &addresses).map_err(|error| host(&error))?;
    let security = Security::Certificate { certificate: made.certificate.clone(), key: made.key.clone() };
    Ok((security, Some(made)))
}

/// Where the certificates lie from one time to the next.
fn kept() -> PathBuf {
    let folder = |name: &str| std::env::var_os(name).filter(|value| !value.is_empty()).map(PathBuf::from);
    let data = folder("XDG_DATA_HOME").or_else(|| folder("APPDATA"));
    let data = data.or_else(|| folder("HOME").map(|home| home.join(".local/share")));
    data.unwrap_or_else(|| PathBuf::from(".")).join("stemwise")
}

fn told(bound: SocketAddr, secure: bool, made: Option<&Made>) -> String {
    let scheme = if secure { "https" } else { "http" };
    let mut text = format!("The app is at {scheme}://localhost:{}/  (stop it with Ctrl-C)\n", bound.port());
    if let Some(address) = local_address().filter(|_| secure) {
        text.push_str(&format!("On a phone in this network: https://{address}:{}/\n", bound.port()));
    }
    if let Some(made) = made {
        text.push_str(&format!(
            "The certificate was made on this machine. For a phone to keep the app for use without a network it\n\
             must trust the authority that signed it: put {} on the phone, install it\n\
             as a certificate authority, and compare the fingerprint:\n{}\n\
             docs/phone.md has the steps.\n",
            made.authority.display(),
            made.fingerprint
        ));
    }
    text
}
