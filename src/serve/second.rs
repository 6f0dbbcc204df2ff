//! What a second start asks the one that runs: an address for the browser that is good for one use.
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

/// The address for a browser; `address` is `http://127.0.0.1:PORT/TOKEN/`.
pub(super) fn key(address: &str) -> Result<String> {
    let strange = || Error::other("the address in the lock is none of ours");
    let (host, base) = address
        .strip_prefix("http://")
        .and_then(|rest| rest.split_once('/'))
        .ok_or_else(strange)?;
    let port = host
        .strip_prefix("127.0.0.1:")
        .and_then(|port| port.parse().ok())
        .ok_or_else(strange)?;
    let to = SocketAddr::from((Ipv4Addr::LOCALHOST, port));
    let mut stream = TcpStream::connect_timeout(&to, PATIENCE)?;
    stream.set_read_timeout(Some(PATIENCE))?;
    stream.set_write_timeout(Some(PATIENCE))?;
    write!(
        stream,
        "POST /{base}key HTTP/1.1\r\nHost: {host}\r\nContent-Length: 0\r\nConnection: close\r\n\r\n"
    )?;
    let mut answer = String::new();
    stream.take(ANSWER).read_to_string(&mut answer)?;
    let key = answer
        .strip_prefix("HTTP/1.1 200 ")
        .and_then(|rest| rest.split_once("\r\n\r\n"))
        .map(|(_, key)| key.trim())
        .filter(|key| super::keys::is_key(key))
        .ok_or_else(|| Error::other("no key was given"))?;
    Ok(format!("http://{host}/open/{key}"))
}
