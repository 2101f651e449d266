//! The feed: one WebSocket for each client, from the server to the page alone.

use crate::guard::{Role, only};
use crate::passes::Pass;
use crate::room::Room;
use axum::extract::State;
use axum::extract::ws::{Message, Utf8Bytes, WebSocket, WebSocketUpgrade};
use axum::http::header::SEC_WEBSOCKET_PROTOCOL;
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Response};
use serde_json::json;
use std::sync::Arc;
use tokio::sync::broadcast::error::RecvError;
use tokio::time::{Duration, Instant, MissedTickBehavior};

/// The name of what is spoken here; beside it a client offers `token.` and its token, the only header that a page may set.
const SPOKEN: &str = "nightbench-page";
const TOKEN: &str = "token.";
/// A client that takes nothing for so long has gone.
const STALLED: Duration = Duration::from_secs(10);
/// How often it is asked whether it lives, and how long it may say nothing.
const ASK_EVERY: Duration = Duration::from_secs(20);
const SILENT: Duration = Duration::from_secs(60);
/// Frames a second.
const FRAMES: u64 = 20;
/// With more clients than this each gets every second frame; their pages draw what lies between.
const FEW: usize = 16;
/// Frames between two pictures of what changes seldom.
const ROOM_EVERY: u64 = 20;

/// Lets a client in.
pub(crate) async fn feed(
    State(room): State<Arc<Room>>,
    headers: HeaderMap,
    upgrade: WebSocketUpgrade,
) -> Response {
    if !room.hosts.is_own_page(&headers) {
        return (StatusCode::FORBIDDEN, "the feed is for this server's own page").into_response();
    }
    let offered = only(&headers, SEC_WEBSOCKET_PROTOCOL.as_str()).unwrap_or_default();
    let shown = offered.split(',').find_map(|word| word.trim().strip_prefix(TOKEN));
    let Some(role) = room.tokens.role(shown) else {
        return (StatusCode::UNAUTHORIZED, "this page needs a token; use the link that you were given")
            .into_response();
    };
    let Ok(pass) = Pass::draw() else {
        return (StatusCode::SERVICE_UNAVAILABLE, "the system gives no randomness").into_response();
    };
    if room.desk().passes.count() >= room.limits.clients {
        return (StatusCode::SERVICE_UNAVAILABLE, "as many are here as there is room for").into_response();
    }
    let number = room.desk().passes.enter(pass.clone(), role);
    let place = Place { room: Arc::clone(&room), pass };
    upgrade
        .protocols([SPOKEN])
        .max_message_size(room.limits.message)
        .max_frame_size(room.limits.message)
        .on_upgrade(move |socket| async move {
            if let Err(reason) = carry(socket, &place, number, role).await {
                tracing::debug!(reason, "a page has gone");
            }
        })
}

/// Somebody's place, until it is dropped, however they leave.
struct Place {
    room: Arc<Room>,
    pass: Pass,
}

impl Drop for Place {
    fn drop(&mut self) {
        let held = self.room.desk().passes.leave(&self.pass);
        if held {
            // Whoever held a key down has let go of it.
            self.room.say("release");
        }
        self.room.tell_room();
    }
}

async fn carry(mut socket: WebSocket, place: &Place, number: u64, role: Role) -> Result<(), &'static str> {
    let room = &place.room;
    let (mut frames, mut rooms) = (room.frames.subscribe(), room.rooms.subscribe());
    let mut traffic = room.traffic.subscribe();
    let mut ending = room.ending.clone();
    let hello = json!({
        "kind": "hello", "pass": place.pass.text(), "number": number, "teacher": role == Role::Teacher,
        "version": env!("CARGO_PKG_VERSION"),
    });
    send(&mut socket, Utf8Bytes::from(hello.to_string())).await?;
    for line in room.said() {
        send(&mut socket, line).await?;
    }
    room.tell_room();
    frames.mark_changed();
    let mut ask = tokio::time::interval(ASK_EVERY);
    ask.set_missed_tick_behavior(MissedTickBehavior::Delay);
    let mut heard = Instant::now();
    loop {
        tokio::select! {
            () = ended(&mut ending) => {
                let _ = tokio::time::timeout(Duration::from_millis(200), socket.send(Message::Close(None))).await;
                return Err("the server ends");
            }
            changed = rooms.changed() => {
                changed.map_err(|_| "the server ends")?;
                let room = rooms.borrow_and_update().clone();
                send(&mut socket, room).await?;
            }
            changed = frames.changed() => {
                changed.map_err(|_| "the server ends")?;
                let frame = frames.borrow_and_update().clone();
                send(&mut socket, frame).await?;
            }
            line = traffic.recv() => match line {
                Ok(line) => send(&mut socket, line).await?,
                // It was too slow for some lines; their numbers tell the page that they are missing.
                Err(RecvError::Lagged(_)) => {}
                Err(RecvError::Closed) => return Err("the server ends"),
            },
            message = socket.recv() => match message {
                Some(Ok(Message::Close(_))) | None => return Err("it hung up"),
                Some(Ok(Message::Pong(_) | Message::Ping(_))) => heard = Instant::now(),
                Some(Ok(_)) => return Err("it said something on the feed, where nothing is to be said"),
                Some(Err(_)) => return Err("its connection broke, or it said too much"),
            },
            _ = ask.tick() => {
                if heard.elapsed() > SILENT {
                    return Err("it was silent");
                }
                let asked = tokio::time::timeout(STALLED, socket.send(Message::Ping(Default::default()))).await;
                asked.map_err(|_| "it takes nothing")?.map_err(|_| "its connection broke")?;
            }
        }
    }
}

/// Waits for the end of the server.
async fn ended(ending: &mut tokio::sync::watch::Receiver<bool>) {
    // A sender that is gone is an end, too.
    let _ = ending.wait_for(|ending| *ending).await;
}

async fn send(socket: &mut WebSocket, text: Utf8Bytes) -> Result<(), &'static str> {
    let sent = tokio::time::timeout(STALLED, socket.send(Message::Text(text))).await;
    sent.map_err(|_| "it takes nothing")?.map_err(|_| "its connection broke")
}

/// Makes the frames, and looks after the lesson, as long as somebody is there.
pub(crate) async fn make_frames(room: Arc<Room>) {
    let mut tick = tokio::time::interval(Duration::from_millis(1000 / FRAMES));
    tick.set_missed_tick_behavior(MissedTickBehavior::Delay);
    let mut made = 0_u64;
    loop {
        tick.tick().await;
        let here = room.desk().passes.count();
        if here == 0 {
            continue;
        }
        made += 1;
        if here > FEW && !made.is_multiple_of(2) {
            continue;
        }
        let hidden = room.desk().hidden.is_some();
        let speed = room.handle.speed();
        let mut frame = room.handle.with(|live| crate::frames::frame(live, speed));
        if hidden {
            crate::frames::hide(&mut frame);
        }
        room.frames.send_replace(Utf8Bytes::from(frame.to_string()));
        let step_done = look_after_lesson(&room);
        if step_done || made.is_multiple_of(ROOM_EVERY) {
            room.tell_room();
        }
    }
}

fn look_after_lesson(room: &Room) -> bool {
    let Some(mut running) = room.desk().running.take() else { return false };
    let done = room.handle.with(|live| running.look(live));
    room.desk().running = Some(running);
    done
}

/// Shows what the mount says by itself.
pub(crate) async fn listen(room: Arc<Room>) {
    loop {
        let said = room.line.hear().await;
        room.hear(&said);
    }
}
