//! A certificate made on the spot, for phones on the local network: signed by an authority of this machine's own, which the phone is told to
//! trust.

use std::net::IpAddr;
use std::path::{Path, PathBuf};

use rcgen::{BasicConstraints, CertificateParams, DnType, IsCa, Issuer, KeyPair, KeyUsagePurpose, SanType};
use sha2::{Digest, Sha256};
use time::{Duration, OffsetDateTime};

use crate::Error;

/// What was made, and where it lies.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Made {
    /// The certificate of the authority: this goes onto the phone.
    pub authority: PathBuf,
    /// Its SHA-256 fingerprint, to compare by eye.
    pub fingerprint: String,
    /// The server's certificate.
    pub certificate: PathBuf,
    /// Its private key.
    pub key: PathBuf,
}

fn failed(error: rcgen::Error) -> Error {
    Error::Make(error.to_string())
}

fn write(path: &Path, text: &str, secret: bool) -> Result<(), Error> {
    let failed = |why| Error::Write { path: path.display().to_string(), why };
    std::fs::write(path, text).map_err(failed)?;
    #[cfg(unix)]
    if secret {
        use std::os::unix::fs::PermissionsExt as _;
        std::fs::set_permissions(path, std::fs::Permissions::from_mode(0o600)).map_err(failed)?;
    }
    Ok(())
}

/// Makes a certificate for these names and addresses in a folder. The authority that signs it is made once and kept, so that a phone needs to
/// trust it only once.
///
/// # Errors
/// [`Error::Make`], [`Error::Write`].
pub fn make(folder: &Path, names: &[String], addresses: &[IpAddr]) -> Result<Made, Error> {
    std::fs::create_dir_all(folder)
        .map_err(|why| Error::Write { path: folder.display().to_string(), why })?;
    let made = Made {
        authority: folder.join("authority.crt"),
        fingerprint: String::new(),
        certificate: folder.join("server.crt"),
        key: folder.join("server.key"),
    };
    let authority = authority(folder, &made.authority)?;
    let key = KeyPair::generate().map_err(failed)?;
    let mut params = CertificateParams::new(names.to_vec()).map_err(failed)?;
    params.subject_alt_names.extend(addresses.iter().copied().map(SanType::IpAddress));
    params.distinguished_name.push(DnType::CommonName, "Stemwise on the local network");
    let now = OffsetDateTime::now_utc();
    params.not_before = now - Duration::days(1);
    // Longer ones are refused by some phones (398 days).
    params.not_after = now + Duration::days(390);
    let signed = params.signed_by(&key, &authority).map_err(failed)?;
    write(&made.certificate, &signed.pem(), false)?;
    write(&made.key, &key.serialize_pem(), true)?;
    let pem = std::fs::read_to_string(&made.authority)
        .map_err(|why| Error::Write { path: made.authority.display().to_string(), why })?;
    Ok(Made { fingerprint: fingerprint(&pem), ..made })
}

fn authority(folder: &Path, certificate: &Path) -> Result<Issuer<'static, KeyPair>, Error> {
    let key_file = folder.join("authority.key");
    let known = std::fs::read_to_string(certificate).ok().zip(std::fs::read_to_string(&key_file).ok());
    if let Some((certificate, key)) = known {
        let key = KeyPair::from_pem(&key).map_err(failed)?;
        return Issuer::from_ca_cert_pem(&certificate, key).map_err(failed);
    }
    let key = KeyPair::generate().map_err(failed)?;
    let mut params = CertificateParams::default();
    params.is_ca = IsCa::Ca(BasicConstraints::Constrained(0));
    params.key_usages = vec![KeyUsagePurpose::KeyCertSign, KeyUsagePurpose::CrlSign];
    params.distinguished_name.push(DnType::CommonName, "Stemwise on this machine");
    let now = OffsetDateTime::now_utc();
    params.not_before = now - Duration::days(1);
    params.not_after = now + Duration::days(3650);
    let signed = params.self_signed(&key).map_err(failed)?;
    write(certificate, &signed.pem(), false)?;
    write(&key_file, &key.serialize_pem(), true)?;
    Ok(Issuer::new(params, key))
}

/// The fingerprint as phones show it: SHA-256 of the certificate's own bytes, in pairs.
fn fingerprint(pem: &str) -> String {
    let body: String = pem.lines().filter(|line| !line.starts_with("-----")).collect();
    let bytes = base64(&body);
    Sha256::digest(bytes).iter().map(|byte| format!("{byte:02X}")).collect::<Vec<_>>().join(":")
}

/// Reads base64 (RFC 4648) as it stands in a PEM file that was just written.
fn base64(text: &str) -> Vec<u8> {
    const ALPHABET: &[u8] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let digits = text.bytes().filter_map(|byte| ALPHABET.iter().position(|&known| known == byte));
    let (mut bits, mut count, mut bytes) = (0_usize, 0, Vec::new());
    for digit in digits {
        bits = (bits << 6 | digit) & 0xffff;
        count += 6;
        if count >= 8 {
            count -= 8;
            bytes.push((bits >> count & 0xff) as u8);
        }
    }
    bytes
}
