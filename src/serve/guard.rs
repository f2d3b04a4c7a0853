//! Who may ask: only a page that this program served itself, in a browser on this machine.
//!
//! A page of another origin can make a browser send requests to 127.0.0.1, under a name of its own that is made to point here. So the name that the
//! browser used must be one of ours, and what changes anything or costs time must come from our page: by its origin, or, where a program that is
//! no browser gives none, by a header that a foreign page cannot add unasked.

use axum::extract::{Request, State};
use axum::http::{HeaderMap, HeaderValue, Method, StatusCode, Uri, header};
use axum::middleware::Next;
use axum::response::{IntoResponse as _, Response};
use std::sync::Arc;

/// Header that our page sends with what it posts.
pub(super) const ASKED_BY: &str = "x-overwinter";
/// What browsers may do with anything from here: show it, run the one script, and ask this server again; nothing else.
pub(super) const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; font-src 'self' data:; img-src 'self' data:; \
     connect-src 'self'; frame-ancestors 'none'; base-uri 'none'; form-action 'none'";
/// Port of HTTP, which browsers leave out of a host.
const HTTP: u16 = 80;

/// Names under which the page may be asked for.
#[derive(Clone, Debug)]
pub(super) struct Hosts(Arc<[String]>);

impl Hosts {
    /// Of a server on this port of this machine.
    pub fn new(port: u16) -> Self {
        let names = ["127.0.0.1", "localhost"];
        let with_port = names.iter().map(|name| format!("{name}:{port}"));
        let bare = names.iter().filter(|_| port == HTTP);
        Self(
            with_port
                .chain(bare.map(|name| (*name).to_owned()))
                .collect(),
        )
    }

    fn knows(&self, host: &str) -> bool {
        self.0.iter().any(|own| own.eq_ignore_ascii_case(host))
    }

    /// Why a request is refused; none when it may pass.
    fn refusal(
        &self,
        method: &Method,
        uri: &Uri,
        headers: &HeaderMap,
    ) -> Option<(StatusCode, &'static str)> {
        let host = only(headers, header::HOST.as_str());
        let known = host.is_some_and(|host| self.knows(host));
        if !known
            || uri
                .authority()
                .is_some_and(|named| !self.knows(named.as_str()))
        {
            return Some((
                StatusCode::MISDIRECTED_REQUEST,
                "this page is served under its own address only",
            ));
        }
        if matches!(*method, Method::GET | Method::HEAD) {
            return None;
        }
        if *method != Method::POST {
            return Some((
                StatusCode::METHOD_NOT_ALLOWED,
                "pages are read and settings are posted, nothing else",
            ));
        }
        let ours = match headers.get_all(header::ORIGIN).iter().count() {
            0 => headers.contains_key(ASKED_BY),
            _ => only(headers, header::ORIGIN.as_str())
                .and_then(|origin| origin.strip_prefix("http://"))
                .is_some_and(|origin| self.knows(origin)),
        };
        (!ours).then_some((
            StatusCode::FORBIDDEN,
            "only the page of this program may ask that",
        ))
    }
}

/// The value of a header that is given once and is text.
fn only<'a>(headers: &'a HeaderMap, name: &str) -> Option<&'a str> {
    let mut values = headers.get_all(name).iter();
    match (values.next(), values.next()) {
        (Some(value), None) => value.to_str().ok(),
        _ => None,
    }
}

/// Passes on what may pass, and marks every answer with what browsers must keep to.
pub(super) async fn guard(State(hosts): State<Hosts>, request: Request, next: Next) -> Response {
    match hosts.refusal(request.method(), request.uri(), request.headers()) {
        Some((status, why)) => (status, why).into_response(),
        None => next.run(request).await,
    }
}

/// Headers of every answer.
pub(super) const HEADERS: [(header::HeaderName, HeaderValue); 6] = [
    (
        header::CONTENT_SECURITY_POLICY,
        HeaderValue::from_static(POLICY),
    ),
    (
        header::X_CONTENT_TYPE_OPTIONS,
        HeaderValue::from_static("nosniff"),
    ),
    (
        header::REFERRER_POLICY,
        HeaderValue::from_static("no-referrer"),
    ),
    (header::CACHE_CONTROL, HeaderValue::from_static("no-store")),
    (
        header::HeaderName::from_static("cross-origin-resource-policy"),
        HeaderValue::from_static("same-origin"),
    ),
    (
        header::HeaderName::from_static("cross-origin-opener-policy"),
        HeaderValue::from_static("same-origin"),
    ),
];

#[cfg(test)]
mod tests {
    use super::*;

    fn asked(method: Method, uri: &str, headers: &[(&'static str, &str)]) -> Option<StatusCode> {
        let mut map = HeaderMap::new();
        for (name, value) in headers {
            map.append(*name, HeaderValue::from_str(value).expect("a value"));
        }
        let uri = uri.parse().expect("a target");
        Hosts::new(8417)
            .refusal(&method, &uri, &map)
            .map(|(status, _)| status)
    }

    #[test]
    fn only_our_own_names_are_answered() {
        for host in ["127.0.0.1:8417", "localhost:8417", "LocalHost:8417"] {
            assert_eq!(asked(Method::GET, "/", &[("host", host)]), None, "{host}");
        }
        for host in [
            "evil.example",
            "evil.example:8417",
            "127.0.0.1",
            "127.0.0.1:80",
            "localhost:8417.evil.example",
            "[::1]:8417",
            "",
        ] {
            let status = asked(Method::GET, "/", &[("host", host)]);
            assert_eq!(status, Some(StatusCode::MISDIRECTED_REQUEST), "{host}");
        }
        let both = [("host", "localhost:8417"), ("host", "evil.example")];
        assert!(asked(Method::GET, "/", &both).is_some());
        assert!(asked(Method::GET, "/", &[]).is_some());
        assert!(
            asked(
                Method::GET,
                "http://evil.example/",
                &[("host", "localhost:8417")]
            )
            .is_some()
        );
    }

    #[test]
    fn only_our_own_page_may_post() {
        let host = ("host", "127.0.0.1:8417");
        let post = |more: &[(&'static str, &str)]| {
            asked(Method::POST, "/answer", &[&[host], more].concat())
        };
        assert_eq!(post(&[("origin", "http://127.0.0.1:8417")]), None);
        assert_eq!(post(&[(ASKED_BY, "page")]), None);
        for origin in [
            "http://evil.example",
            "null",
            "https://127.0.0.1:8417",
            "http://127.0.0.1:8418",
            "http://127.0.0.1",
        ] {
            // The header of the page helps no foreign origin.
            let status = post(&[("origin", origin), (ASKED_BY, "page")]);
            assert_eq!(status, Some(StatusCode::FORBIDDEN), "{origin}");
        }
        assert_eq!(post(&[]), Some(StatusCode::FORBIDDEN));
        assert_eq!(
            asked(Method::PUT, "/save", &[host]),
            Some(StatusCode::METHOD_NOT_ALLOWED)
        );
    }
}
