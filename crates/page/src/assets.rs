//! The page's files, embedded in the program, and what is said with each of them.

use axum::body::Body;
use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE, ETAG, IF_NONE_MATCH};
use axum::http::{HeaderMap, HeaderName, HeaderValue, Response, StatusCode};
use rust_embed::{Embed, EmbeddedFile};

#[derive(Embed)]
#[folder = "assets/"]
struct Assets;

/// Headers of every answer: scripts, styles and pictures from here alone, no frame round it, nothing told to others.
const SAFE: [(HeaderName, &str); 6] = [
    (HeaderName::from_static("x-content-type-options"), "nosniff"),
    (HeaderName::from_static("referrer-policy"), "no-referrer"),
    (HeaderName::from_static("cross-origin-opener-policy"), "same-origin"),
    (HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
    (HeaderName::from_static("x-frame-options"), "DENY"),
    (HeaderName::from_static("permissions-policy"), "camera=(), geolocation=(), microphone=()"),
];

/// Puts the headers of every answer on it; `host` has been allowed.
pub(crate) fn secure(response: &mut Response<Body>, host: &str) {
    let headers = response.headers_mut();
    for (name, value) in SAFE {
        headers.insert(name, HeaderValue::from_static(value));
    }
    let policy = format!(
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; connect-src 'self' ws://{host}; \
         manifest-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
    );
    if let Ok(policy) = HeaderValue::from_str(&policy) {
        headers.insert(HeaderName::from_static("content-security-policy"), policy);
    }
    headers.entry(CACHE_CONTROL).or_insert(HeaderValue::from_static("no-store"));
}

/// One file; `None` if there is none of that name.
pub(crate) fn file(name: &str, headers: &HeaderMap) -> Option<Response<Body>> {
    let file = Assets::get(name)?;
    let tag = entity_tag(&file);
    let known = headers.get(IF_NONE_MATCH).and_then(|value| value.to_str().ok());
    let mut response = if known == Some(tag.as_str()) {
        let mut unchanged = Response::new(Body::empty());
        *unchanged.status_mut() = StatusCode::NOT_MODIFIED;
        unchanged
    } else {
        Response::new(Body::from(file.data.into_owned()))
    };
    let told = response.headers_mut();
    told.insert(CONTENT_TYPE, HeaderValue::from_static(kind(name)));
    told.insert(CACHE_CONTROL, HeaderValue::from_static("no-cache"));
    if let Ok(tag) = HeaderValue::from_str(&tag) {
        told.insert(ETAG, tag);
    }
    Some(response)
}

fn entity_tag(file: &EmbeddedFile) -> String {
    let digest: String = file.metadata.sha256_hash()[..8].iter().map(|byte| format!("{byte:02x}")).collect();
    format!("\"{digest}\"")
}

fn kind(name: &str) -> &'static str {
    match name.rsplit_once('.').map(|(_, ending)| ending) {
        Some("html") => "text/html; charset=utf-8",
        Some("css") => "text/css; charset=utf-8",
        Some("js") => "text/javascript; charset=utf-8",
        Some("svg") => "image/svg+xml",
        Some("json") => "application/json",
        _ => "text/plain; charset=utf-8",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// All together stay below half a megabyte even uncompressed, so that a phone on a slow net has them soon.
    #[test]
    fn the_page_is_small() {
        let bytes: usize =
            Assets::iter().filter_map(|name| Assets::get(&name)).map(|file| file.data.len()).sum();
        assert!(bytes < 500_000, "{bytes} bytes");
        assert!(Assets::get("index.html").is_some());
    }

    #[test]
    fn nothing_is_fetched_from_elsewhere() {
        for name in Assets::iter().filter(|name| !name.starts_with("vendor/")) {
            let file = Assets::get(&name).expect("listed");
            let text = String::from_utf8_lossy(&file.data).into_owned();
            for (number, line) in text.lines().enumerate() {
                let namespace = line.contains("http://www.w3.org/");
                assert!(
                    namespace || !(line.contains("http://") || line.contains("https://")),
                    "{name}:{}",
                    number + 1
                );
            }
        }
    }
}
