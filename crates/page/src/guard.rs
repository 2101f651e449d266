//! Who may ask: exact hosts, exact origins, tokens.
//!
//! A page somewhere on the web can make a browser send requests to this computer, even to one that listens on the loopback
//! address alone: by a WebSocket, whose origin the browser tells but doesn't judge, or by a name that is made to lead here
//! (DNS rebinding). Hence every request must name this server by an address that it was told, and whatever is more than a
//! page's files must come from this server's own page (OWASP WebSocket Security Cheat Sheet, from memory).

use axum::http::HeaderMap;
use axum::http::header::{HOST, ORIGIN};
use link::Token;
use std::net::SocketAddr;

/// The names by which a request may call this server.
#[derive(Clone, Debug)]
pub(crate) struct Hosts {
    allowed: Vec<String>,
}

impl Hosts {
    /// The names of a server that listens at `address`: of this computer alone its three loopback names, else the address
    /// itself; and those that are `named`, without a port.
    pub(crate) fn new(address: SocketAddr, named: &[String]) -> Self {
        let port = address.port();
        let mut allowed: Vec<String> =
            named.iter().map(|name| format!("{}:{port}", name.to_ascii_lowercase())).collect();
        if address.ip().is_loopback() {
            allowed.extend(["127.0.0.1", "localhost", "[::1]"].map(|name| format!("{name}:{port}")));
        } else if !address.ip().is_unspecified() {
            allowed.push(address.to_string());
        }
        if port == 80 {
            // A browser leaves the usual port out.
            let bare: Vec<String> =
                allowed.iter().filter_map(|host| host.strip_suffix(":80").map(str::to_owned)).collect();
            allowed.extend(bare);
        }
        Self { allowed }
    }

    /// The host that a request names, if it is one of ours; exactly one `Host` header, compared without regard to case.
    pub(crate) fn of<'h>(&self, headers: &'h HeaderMap) -> Option<&'h str> {
        let host = only(headers, HOST.as_str())?;
        self.allowed.iter().any(|allowed| allowed.eq_ignore_ascii_case(host)).then_some(host)
    }

    /// Whether a request comes from our own page: its one `Origin` is that of the host that it names.
    pub(crate) fn is_own_page(&self, headers: &HeaderMap) -> bool {
        let (Some(host), Some(origin)) = (self.of(headers), only(headers, ORIGIN.as_str())) else {
            return false;
        };
        origin.strip_prefix("http://").is_some_and(|from| from.eq_ignore_ascii_case(host))
    }
}

/// The value of a header that stands there exactly once.
pub(crate) fn only<'h>(headers: &'h HeaderMap, name: &str) -> Option<&'h str> {
    let mut values = headers.get_all(name).iter();
    let value = values.next()?;
    if values.next().is_some() {
        return None;
    }
    value.to_str().ok()
}

/// What somebody who connects may do.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Role {
    /// May hold the controls.
    Teacher,
    /// May look.
    Viewer,
}

/// The secrets of a page. Without any, whoever reaches it is a teacher: for the loopback address.
#[derive(Clone, Debug, Default)]
pub struct Tokens {
    /// Opens the page with its controls.
    pub teacher: Option<Token>,
    /// Opens it for looking.
    pub viewer: Option<Token>,
}

impl Tokens {
    /// Whether nothing has to be shown.
    pub fn none(&self) -> bool {
        self.teacher.is_none() && self.viewer.is_none()
    }

    pub(crate) fn role(&self, shown: Option<&str>) -> Option<Role> {
        let is =
            |token: &Option<Token>| matches!((token, shown), (Some(token), Some(shown)) if token.is(shown));
        if is(&self.teacher) {
            Some(Role::Teacher)
        } else if is(&self.viewer) {
            Some(Role::Viewer)
        } else if self.none() {
            Some(Role::Teacher)
        } else {
            // Where only viewers need a token, nobody could teach; where only the teacher does, anybody may look.
            (self.viewer.is_none() && shown.is_none()).then_some(Role::Viewer)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn headers(host: Option<&str>, origin: Option<&str>) -> HeaderMap {
        let mut headers = HeaderMap::new();
        for (name, value) in [("host", host), ("origin", origin)] {
            if let Some(value) = value {
                headers.insert(name, value.parse().expect("a header"));
            }
        }
        headers
    }

    fn loopback() -> Hosts {
        Hosts::new("127.0.0.1:8080".parse().expect("an address"), &[])
    }

    #[test]
    fn hosts_and_origins() {
        let good = "127.0.0.1:8080";
        for (host, origin, is_host, is_own) in [
            (Some(good), Some("http://127.0.0.1:8080"), true, true),
            (Some("LOCALHOST:8080"), Some("http://localhost:8080"), true, true),
            (Some("[::1]:8080"), Some("http://[::1]:8080"), true, true),
            (Some(good), None, true, false),
            (Some(good), Some("null"), true, false),
            (Some(good), Some("http://evil.example"), true, false),
            (Some(good), Some("http://127.0.0.1:8081"), true, false),
            (Some(good), Some("https://127.0.0.1:8080"), true, false),
            (Some(good), Some("http://localhost:8080"), true, false),
            (Some("evil.example:8080"), Some("http://evil.example:8080"), false, false),
            (Some("127.0.0.1"), Some("http://127.0.0.1"), false, false),
            (None, Some("http://127.0.0.1:8080"), false, false),
        ] {
            let headers = headers(host, origin);
            assert_eq!(loopback().of(&headers).is_some(), is_host, "{host:?}");
            assert_eq!(loopback().is_own_page(&headers), is_own, "{host:?} {origin:?}");
        }
    }

    #[test]
    fn two_hosts_are_none() {
        let mut two = headers(Some("127.0.0.1:8080"), None);
        two.append("host", "127.0.0.1:8080".parse().expect("a header"));
        assert!(loopback().of(&two).is_none());
    }

    #[test]
    fn an_unspecified_address_answers_to_named_hosts_alone() {
        let hosts = Hosts::new("0.0.0.0:80".parse().expect("an address"), &["School.Example".to_owned()]);
        assert!(hosts.of(&headers(Some("school.example"), None)).is_some());
        assert!(hosts.of(&headers(Some("school.example:80"), None)).is_some());
        assert!(hosts.of(&headers(Some("0.0.0.0:80"), None)).is_none());
        assert!(hosts.of(&headers(Some("192.0.2.7:80"), None)).is_none());
    }

    #[test]
    fn roles() {
        let token = |text: &str| Some(Token::new(text).expect("a good token"));
        let both = Tokens { teacher: token("teacher-teacher-1"), viewer: token("viewer-viewer-12") };
        assert_eq!(both.role(Some("teacher-teacher-1")), Some(Role::Teacher));
        assert_eq!(both.role(Some("viewer-viewer-12")), Some(Role::Viewer));
        assert_eq!(both.role(Some("viewer-viewer-13")), None);
        assert_eq!(both.role(None), None);
        let teacher = Tokens { viewer: None, ..both };
        assert_eq!(teacher.role(None), Some(Role::Viewer));
        assert_eq!(teacher.role(Some("wrong-wrong-wrong")), None);
        assert_eq!(Tokens::default().role(None), Some(Role::Teacher));
    }
}
