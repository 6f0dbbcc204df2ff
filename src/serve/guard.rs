//! Who is let in: requests of this machine's browser that know the token.
//!
//! A page of somebody else can make the browser ask for addresses here, and can let its own name
//! point to this machine (rebinding). The first shows in `Origin` and `Sec-Fetch-Site`, the second
//! in `Host`; neither knows the token.

use std::sync::Arc;
use std::time::Duration;

use axum::extract::{Request, State};
use axum::http::{HeaderMap, HeaderValue, Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

use super::keys::{is_key, same};
use super::pages;
use super::state::AppState;

/// Nothing from outside, no script or style in the page itself.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; \
                      img-src 'self' data:; connect-src 'self'; form-action 'self'; \
                      base-uri 'none'; frame-ancestors 'none'";

/// How long a request may take until its answer begins.
const REQUEST: Duration = Duration::from_secs(120);
/// The same for an upload, which may have to wait for its place in memory.
const UPLOAD: Duration = Duration::from_secs(600);

/// Whether a path may go on to the routes: below the token, or to a key and nothing behind it.
fn leads_in(path: &str, token: &str) -> bool {
    let Some((first, rest)) = path
        .strip_prefix('/')
        .map(|p| p.split_once('/').unwrap_or((p, "")))
    else {
        return false;
    };
    same(first, token) || first == "open" && is_key(rest)
}

/// Lets a request pass or turns it away, and puts the policy on every answer.
pub(super) async fn keep(
    State(app): State<Arc<AppState>>,
    request: Request,
    next: Next,
) -> Response {
    let path = request.uri().path();
    let refused = from_elsewhere(
        app.port,
        request.method(),
        request.uri().authority().map(|a| a.as_str()),
        request.headers(),
    )
    .map(|why| (StatusCode::FORBIDDEN, why))
    .or_else(|| {
        let known = leads_in(path, &app.token);
        (!known).then_some((
            StatusCode::NOT_FOUND,
            "This address is not complete. Copy the whole address from the terminal where \
             whomay serve runs.",
        ))
    });
    let mut response = match refused {
        Some((status, why)) => {
            (status, pages::html(pages::plain(None, "Not here", why))).into_response()
        }
        None => {
            let patience = if path.ends_with("/letters") {
                UPLOAD
            } else {
                REQUEST
            };
            let answered = tokio::time::timeout(patience, next.run(request)).await;
            answered.unwrap_or_else(|_| {
                let why = "This took too long and was stopped. Try it again.";
                let page = pages::html(pages::plain(None, "Too long", why));
                (StatusCode::SERVICE_UNAVAILABLE, page).into_response()
            })
        }
    };
    let headers = response.headers_mut();
    for (name, value) in [
        (header::CONTENT_SECURITY_POLICY, POLICY),
        (header::CACHE_CONTROL, "no-store"),
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (header::X_FRAME_OPTIONS, "DENY"),
        (header::REFERRER_POLICY, "same-origin"),
    ] {
        headers.insert(name, HeaderValue::from_static(value));
    }
    for name in ["cross-origin-opener-policy", "cross-origin-resource-policy"] {
        headers.insert(name, HeaderValue::from_static("same-origin"));
    }
    response
}

/// Why a request does not come from a page of this program, if it does not.
fn from_elsewhere(
    port: u16,
    method: &Method,
    authority: Option<&str>,
    headers: &HeaderMap,
) -> Option<&'static str> {
    let names = [format!("127.0.0.1:{port}"), format!("localhost:{port}")];
    let ours = |name: &str| names.iter().any(|n| n == name);
    let one = |name: header::HeaderName| {
        let mut all = headers.get_all(name).iter();
        let first = all.next().map(|v| v.to_str().unwrap_or_default());
        if all.next().is_some() {
            Some("")
        } else {
            first
        }
    };
    let host = one(header::HOST).unwrap_or_default();
    if !ours(host) || authority.is_some_and(|a| !ours(a)) {
        return Some("This page answers to its own address on this machine only.");
    }
    let own = one(header::ORIGIN).is_none_or(|o| o.strip_prefix("http://").is_some_and(ours));
    let site = headers
        .get("sec-fetch-site")
        .is_none_or(|v| v == "same-origin" || v == "none");
    if !own || !site {
        return Some("Another page sent this. Open the page of whomay itself.");
    }
    let known = [Method::GET, Method::HEAD, Method::POST].contains(method);
    (!known).then_some("There is nothing here for such a request.")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn asked(method: &Method, pairs: &[(&'static str, &'static str)]) -> bool {
        let mut headers = HeaderMap::new();
        for (name, value) in pairs {
            headers.append(*name, HeaderValue::from_static(value));
        }
        from_elsewhere(4711, method, None, &headers).is_none()
    }

    #[test]
    fn only_this_machine_is_let_in() {
        let (get, post) = (&Method::GET, &Method::POST);
        assert!(asked(get, &[("host", "127.0.0.1:4711")]));
        assert!(asked(get, &[("host", "localhost:4711")]));
        for host in [
            "127.0.0.1",
            "127.0.0.1:80",
            "rebound.example:4711",
            "127.0.0.1:4711.example",
            "",
        ] {
            assert!(!asked(get, &[("host", host)]), "{host}");
        }
        assert!(!asked(get, &[]));
        assert!(!asked(
            get,
            &[("host", "127.0.0.1:4711"), ("host", "127.0.0.1:4711")]
        ));
        let with = |name, value| asked(post, &[("host", "127.0.0.1:4711"), (name, value)]);
        assert!(with("origin", "http://127.0.0.1:4711"));
        for origin in [
            "null",
            "http://elsewhere.example",
            "https://127.0.0.1:4711",
            "http://127.0.0.1:4712",
            "",
        ] {
            assert!(!with("origin", origin), "{origin}");
        }
        assert!(with("sec-fetch-site", "same-origin"));
        assert!(!with("sec-fetch-site", "same-site"));
        assert!(!with("sec-fetch-site", "cross-site"));
        assert!(!asked(&Method::PUT, &[("host", "127.0.0.1:4711")]));
    }

    #[test]
    fn only_the_token_and_a_key_alone_lead_in() {
        let (token, key) = ("0123456789abcdef0123456789abcdef", "f".repeat(32));
        for path in ["/T", "/T/", "/T/letters/1/report.json"] {
            assert!(leads_in(&path.replace('T', token), token), "{path}");
        }
        assert!(leads_in(&format!("/open/{key}"), token));
        for path in [
            "",
            "/",
            "/open",
            "/open/",
            "/open/x",
            "/open/K0",
            "/open/K/",
            "/open/K/letters/1",
            "/open/letters/1",
            "/opens/K",
            "//open/K",
            "//T/",
            "T",
            "/T0/",
            "/t/T/",
        ] {
            let path = path.replace('K', &key).replace('T', token);
            assert!(!leads_in(&path, token), "{path}");
        }
    }
}
