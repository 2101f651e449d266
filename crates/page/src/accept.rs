//! The listener and the routes.

use crate::guard::{Hosts, Tokens};
use crate::lesson::Lesson;
use crate::room::{Limits, Room};
use crate::{act, assets, feed, read};
use axum::Router;
use axum::body::Body;
use axum::extract::{DefaultBodyLimit, Path, Request, State};
use axum::http::{HeaderMap, StatusCode};
use axum::middleware::{Next, from_fn_with_state};
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};
use bench::live::Live;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::service::TowerToHyperService;
use link::Handle;
use std::net::SocketAddr;
use std::sync::Arc;
use tokio::net::TcpListener;
use tokio::sync::{Semaphore, watch};
use tokio::task::JoinSet;
use tokio::time::Duration;

/// How long the head of a request may take, and how long a connection may be kept without one.
const HEAD: Duration = Duration::from_secs(15);
/// Bytes of a request's head.
const HEAD_MOST: usize = 16 * 1024;
/// How long to wait after the system had no room for a further connection.
const TRY_AGAIN: Duration = Duration::from_millis(200);

/// What a page is served with.
#[derive(Clone, Debug, Default)]
pub struct Page {
    /// Further names by which others call this computer, without a port.
    pub names: Vec<String>,
    /// Its secrets.
    pub tokens: Tokens,
    /// What it may take.
    pub limits: Limits,
    /// Its lessons.
    pub lessons: Vec<Lesson>,
    /// The lesson that it begins with; none plays with the night as it is.
    pub first: Option<String>,
}

/// Why a page can't be served.
#[derive(Debug, thiserror::Error)]
pub enum PageError {
    /// The lesson to begin with.
    #[error("there is no lesson `{0}`; there are {1}")]
    NoLesson(String, String),
    /// The listener has gone.
    #[error("the page's address can't be found out: {0}")]
    Address(#[from] std::io::Error),
}

/// Serves the page until `ending` is true. Make the listener with [`link::bind`]; to be called within a tokio runtime of one
/// thread, in which the mount's lines and answers can't get mixed up.
///
/// # Errors
/// A first lesson that there isn't, or a listener without an address.
pub async fn serve(
    listener: TcpListener,
    handle: Handle<Live>,
    page: Page,
    mut ending: watch::Receiver<bool>,
) -> Result<(), PageError> {
    let hosts = Hosts::new(listener.local_addr()?, &page.names);
    let limits = page.limits;
    let room = Arc::new(Room::new(handle, hosts, page.tokens, limits, page.lessons, ending.clone()));
    if let Some(first) = page.first {
        let known = || room.lessons.iter().map(|lesson| lesson.name.as_str()).collect::<Vec<_>>().join(", ");
        room.begin_lesson(Some(&first)).map_err(|_| PageError::NoLesson(first.clone(), known()))?;
    }
    let mut tasks = JoinSet::new();
    tasks.spawn(feed::make_frames(Arc::clone(&room)));
    tasks.spawn(feed::listen(Arc::clone(&room)));
    let service = TowerToHyperService::new(router(room));
    // A browser keeps up to six connections beside its feed.
    let places = Arc::new(Semaphore::new(limits.clients * 7 + 16));
    loop {
        let accepted = tokio::select! {
            accepted = listener.accept() => accepted,
            _ = ending.wait_for(|ending| *ending) => break,
            Some(_) = tasks.join_next(), if !tasks.is_empty() => continue,
        };
        let Ok((stream, _)) = accepted else {
            tokio::time::sleep(TRY_AGAIN).await;
            continue;
        };
        // With no place left the connection is closed at once.
        let Ok(place) = Arc::clone(&places).try_acquire_owned() else { continue };
        let _ = stream.set_nodelay(true);
        let service = service.clone();
        tasks.spawn(async move {
            let _place = place;
            let mut builder = hyper::server::conn::http1::Builder::new();
            builder.timer(TokioTimer::new()).header_read_timeout(HEAD).max_buf_size(HEAD_MOST);
            let connection = builder.serve_connection(TokioIo::new(stream), service).with_upgrades();
            if let Err(error) = connection.await {
                tracing::debug!(%error, "a connection of the page broke");
            }
        });
    }
    // Feeds hear of the ending by themselves and say good-bye.
    tokio::time::sleep(Duration::from_millis(100)).await;
    tasks.shutdown().await;
    Ok(())
}

fn router(room: Arc<Room>) -> Router {
    Router::new()
        .route("/", get(index))
        .route("/assets/{*name}", get(asset))
        .route("/feed", get(feed::feed))
        .route("/api/lessons", get(read::lessons))
        .route("/api/lesson", get(read::lesson))
        .route("/api/names", get(read::names))
        .route("/api/course", get(read::course))
        .route("/api/scenario", get(read::scenario))
        .route("/act", post(act::act).layer(DefaultBodyLimit::max(room.limits.body)))
        .fallback(async || (StatusCode::NOT_FOUND, "there is nothing of that name"))
        .layer(from_fn_with_state(Arc::clone(&room), at_the_door))
        .with_state(room)
}

/// Every request names this server by one of its names, or goes no further.
async fn at_the_door(State(room): State<Arc<Room>>, request: Request, next: Next) -> Response {
    let Some(host) = room.hosts.of(request.headers()).map(str::to_owned) else {
        let sentence = "this server isn't called that; open the address that it printed";
        return (StatusCode::MISDIRECTED_REQUEST, sentence).into_response();
    };
    let mut response = next.run(request).await;
    assets::secure(&mut response, &host);
    response
}

async fn index(headers: HeaderMap) -> Response<Body> {
    file("index.html", &headers)
}

async fn asset(Path(name): Path<String>, headers: HeaderMap) -> Response<Body> {
    file(&name, &headers)
}

fn file(name: &str, headers: &HeaderMap) -> Response<Body> {
    let missing = || (StatusCode::NOT_FOUND, "there is no such file").into_response();
    assets::file(name, headers).unwrap_or_else(missing)
}

/// Where a page is to be opened: for a viewer or for the teacher, the token in the part of the address that isn't sent.
impl Page {
    /// The addresses to be printed: what for, and which.
    pub fn addresses(&self, address: SocketAddr) -> Vec<(&'static str, String)> {
        let host = self
            .names
            .first()
            .map_or_else(|| address.to_string(), |name| format!("{name}:{}", address.port()));
        let with = |token: &Option<link::Token>| {
            token.as_ref().map_or_else(
                || format!("http://{host}/"),
                |token| format!("http://{host}/#token={}", token.text()),
            )
        };
        let mut all = vec![("teach", with(&self.tokens.teacher))];
        if !self.tokens.none() {
            all.push(("look", with(&self.tokens.viewer)));
        }
        all
    }
}
