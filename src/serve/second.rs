//! What a start asks the page that runs, its own or that of an earlier start: to read the files it was
//! given, and an address for the browser that is good for one use.
//!
//! The command line of a browser can be read by every user of the machine, so the secret of the
//! first has no place on it.

use std::io::{Error, Read, Result, Write};
use std::net::{Ipv4Addr, SocketAddr, TcpStream};
use std::time::Duration;

/// How long the one that runs may take to answer.
const PATIENCE: Duration = Duration::from_secs(3);
/// Bytes of its answer.
const ANSWER: u64 = 16 << 10;

/// An address for a browser that leads to `to`, below the token; `address` is
/// `http://127.0.0.1:PORT/TOKEN/`.
pub(super) fn key(address: &str, to: &str) -> Result<String> {
    let answer = post(address, "key", "text/plain", to.as_bytes())?;
    let key = answer
        .strip_prefix("HTTP/1.1 200 ")
        .and_then(|rest| rest.split_once("\r\n\r\n"))
        .map(|(_, key)| key.trim())
        .filter(|key| super::keys::is_key(key))
        .ok_or_else(|| Error::other("no key was given"))?;
    let host = at(address)?.0;
    Ok(format!("http://{host}/open/{key}"))
}

/// Hands files over as a browser does; where their letter is, below the token. Nothing without files.
pub(super) fn hand_over(address: &str, files: &[(String, Vec<u8>)]) -> Result<String> {
    if files.is_empty() {
        return Ok(String::new());
    }
    let border = super::keys::token().ok_or_else(|| Error::other("no random numbers"))?;
    let mut body = Vec::new();
    for (name, bytes) in files {
        // What would end the name, or the line it stands on.
        let name: String = name
            .chars()
            .map(|c| if c.is_control() || c == '"' { '_' } else { c })
            .collect();
        let head = format!(
            "--{border}\r\nContent-Disposition: form-data; name=\"file\"; filename=\"{name}\"\r\n\r\n"
        );
        body.extend_from_slice(head.as_bytes());
        body.extend_from_slice(bytes);
        body.extend_from_slice(b"\r\n");
    }
    body.extend_from_slice(format!("--{border}--\r\n").as_bytes());
    let kind = format!("multipart/form-data; boundary={border}");
    let answer = post(address, "letters", &kind, &body)?;
    let (_, base) = at(address)?;
    answer
        .lines()
        .filter_map(|line| line.split_once(": "))
        .find(|(name, _)| name.eq_ignore_ascii_case("location"))
        .and_then(|(_, to)| to.strip_prefix(&format!("/{base}")))
        .map(str::to_owned)
        .ok_or_else(|| Error::other("the page did not take the files: too many, or too large"))
}

/// Host and base of an address.
fn at(address: &str) -> Result<(&str, &str)> {
    address
        .strip_prefix("http://")
        .and_then(|rest| rest.split_once('/'))
        .ok_or_else(|| Error::other("the address in the lock is none of ours"))
}

/// Posts, and reads the answer as it comes.
fn post(address: &str, to: &str, kind: &str, body: &[u8]) -> Result<String> {
    let (host, base) = at(address)?;
    let port = host
        .strip_prefix("127.0.0.1:")
        .and_then(|port| port.parse().ok())
        .ok_or_else(|| Error::other("the address in the lock is none of ours"))?;
    let there = SocketAddr::from((Ipv4Addr::LOCALHOST, port));
    let mut stream = TcpStream::connect_timeout(&there, PATIENCE)?;
    stream.set_read_timeout(Some(PATIENCE))?;
    stream.set_write_timeout(Some(PATIENCE))?;
    write!(
        stream,
        "POST /{base}{to} HTTP/1.1\r\nHost: {host}\r\nContent-Type: {kind}\r\n\
         Content-Length: {}\r\nConnection: close\r\n\r\n",
        body.len()
    )?;
    stream.write_all(body)?;
    let mut answer = String::new();
    stream.take(ANSWER).read_to_string(&mut answer)?;
    Ok(answer)
}
