//! A local page on which the hive of a scenario stands beside a changed one, and both answer while controls are moved.
//!
//! [`Server::bind`] takes a port of this machine, [`Server::run`] serves it until it is told to stop. Only browsers on the machine itself are
//! answered, and only our own page may post (`guard`). The page's controls become a scenario's text (`settings`); ensembles run on threads of their
//! own and send what they know line by line (`answer`). Files are read and written in one folder, without following links out of it (`files`, `save`).

mod answer;
mod cache;
mod charts;
mod controls;
mod document;
mod error;
mod files;
mod guard;
mod listen;
mod page;
mod save;
mod settings;
mod stream;
mod words;

pub use error::ServeError;

use crate::scenario::ScenarioError;
use crate::units::System;
use answer::{Asked, Finished};
use axum::Router;
use axum::extract::rejection::JsonRejection;
use axum::extract::{Json, State};
use axum::http::{StatusCode, header};
use axum::response::{Html, IntoResponse as _, Response};
use axum::routing::{get, post};
use cache::{Known, Weather};
use error::Refusal;
use guard::Hosts;
use save::Save;
use serde_json::json;
use settings::Base;
use std::io::ErrorKind;
use std::net::{Ipv4Addr, SocketAddr, TcpListener};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex};
use std::time::Duration;
use tokio::sync::{Semaphore, mpsc};
use tower::ServiceBuilder;
use tower_http::limit::RequestBodyLimitLayer;
use tower_http::set_header::SetResponseHeaderLayer;
use tower_http::timeout::TimeoutLayer;

/// Port when none is asked for.
pub const USUAL_PORT: u16 = 8417;
/// Largest request, bytes: settings take less than one thousand.
const MOST_BYTES: usize = 64 << 10;
/// Longest that a request may take until its answer begins.
const MOST_WAIT: Duration = Duration::from_secs(30);
/// Answers that are worked out at once: that of one page, and of another that has just been left.
const MOST_ANSWERS: usize = 2;
/// How long a new answer waits for a place.
const WAIT_FOR_PLACE: Duration = Duration::from_secs(10);
/// Lines of an answer that may wait to be sent.
const LINES: usize = 16;
/// How often it is looked whether to stop.
const LOOK_EVERY: Duration = Duration::from_millis(100);
/// Longest that work is waited for at the end.
const MOST_FAREWELL: Duration = Duration::from_secs(5);

/// What is served.
#[derive(Debug)]
pub struct Offer<'a> {
    /// Text of the scenario to start from.
    pub text: &'a str,
    /// Its file, from whose folder it names weather files.
    pub path: &'a Path,
    /// Folder of weather files, in which scenarios are saved.
    pub folder: &'a Path,
    /// Port of 127.0.0.1; 0 takes any free one.
    pub port: u16,
    /// Units that the page begins with.
    pub units: System,
}

/// What all requests share.
struct App {
    base: Base,
    units: System,
    pool: rayon::ThreadPool,
    stop: Arc<AtomicBool>,
    places: Arc<Semaphore>,
    weather: Weather,
    known: Known,
    finished: Mutex<Option<Arc<Finished>>>,
}

/// A page that is ready to be served.
pub struct Server {
    listener: TcpListener,
    address: SocketAddr,
    app: App,
}

/// Why a page cannot be made.
#[derive(Debug, thiserror::Error)]
pub enum BindError {
    /// The scenario.
    #[error(transparent)]
    Scenario(#[from] ScenarioError),
    /// Port, folder or machine.
    #[error(transparent)]
    Serve(#[from] ServeError),
}

impl Server {
    /// Reads the scenario, looks at the folder and takes the port; nothing is answered yet. `stop` ends it when it is raised.
    ///
    /// # Errors
    /// [`BindError`].
    pub fn bind(offer: &Offer<'_>, stop: Arc<AtomicBool>) -> Result<Self, BindError> {
        let folder = folder(offer.folder)?;
        let base = Base::new(offer.text, offer.path, &folder)?;
        let port = offer.port;
        let listener =
            TcpListener::bind((Ipv4Addr::LOCALHOST, port)).map_err(|source| {
                match source.kind() {
                    ErrorKind::AddrInUse => ServeError::PortTaken { port },
                    ErrorKind::PermissionDenied => ServeError::PortRefused { port, source },
                    _ => ServeError::System(source),
                }
            })?;
        let address = listener.local_addr().map_err(ServeError::System)?;
        let pool = rayon::ThreadPoolBuilder::new()
            .build()
            .map_err(ServeError::Threads)?;
        Ok(Self {
            listener,
            address,
            app: App {
                base,
                units: offer.units,
                pool,
                stop,
                places: Arc::new(Semaphore::new(MOST_ANSWERS)),
                weather: Weather::default(),
                known: Known::default(),
                finished: Mutex::new(None),
            },
        })
    }

    /// Where the page is: "http://127.0.0.1:8417/".
    #[must_use]
    pub fn url(&self) -> String {
        format!("http://{}/", self.address)
    }

    /// Answers until it is told to stop.
    ///
    /// # Errors
    /// [`ServeError::System`].
    pub fn run(self) -> Result<(), ServeError> {
        self.listener.set_nonblocking(true)?;
        let runtime = tokio::runtime::Builder::new_multi_thread()
            .worker_threads(2)
            .enable_all()
            .build()?;
        let stop = Arc::clone(&self.app.stop);
        let hosts = Hosts::new(self.address.port());
        let app = router(Arc::new(self.app), hosts);
        let served = runtime.block_on(async {
            let listener = tokio::net::TcpListener::from_std(self.listener)?;
            let told = Arc::clone(&stop);
            let serving = axum::serve(listen::Bounded::new(listener), app)
                .with_graceful_shutdown(async move { until(&told).await });
            tokio::select! {
                ended = serving => ended,
                // A browser that keeps its connection does not keep the program.
                () = async { until(&stop).await; tokio::time::sleep(MOST_FAREWELL).await } => Ok(()),
            }
        });
        runtime.shutdown_timeout(MOST_FAREWELL);
        Ok(served?)
    }
}

async fn until(raised: &AtomicBool) {
    while !raised.load(Ordering::Relaxed) {
        tokio::time::sleep(LOOK_EVERY).await;
    }
}

/// The folder to serve, if it is one.
fn folder(path: &Path) -> Result<PathBuf, ServeError> {
    let refuse = |problem: &str| ServeError::Folder {
        path: path.to_owned(),
        problem: problem.to_owned(),
    };
    match path.metadata() {
        Ok(found) if found.is_dir() => {}
        Ok(_) => return Err(refuse("is a file")),
        Err(error) if error.kind() == ErrorKind::NotFound => {
            return Err(refuse("there is no such folder"));
        }
        Err(error) => return Err(refuse(&error.to_string())),
    }
    // As a scenario in the folder names what lies beside it.
    Ok(if path == Path::new(".") {
        PathBuf::new()
    } else {
        path.to_owned()
    })
}

fn router(app: Arc<App>, hosts: Hosts) -> Router {
    let css = || [(header::CONTENT_TYPE, "text/css; charset=utf-8")];
    let script = [(header::CONTENT_TYPE, "text/javascript; charset=utf-8")];
    let font = page::font();
    let routes = Router::new()
        .route("/", get(show))
        .route("/page.css", get(move || async move { (css(), page::CSS) }))
        .route(
            "/page.js",
            get(move || async move { (script, page::SCRIPT) }),
        )
        .route(
            "/font.css",
            get(move || async move { (css(), font.clone()) }),
        )
        .route("/answer", post(answered))
        .route("/save", post(saved))
        .with_state(app)
        .layer(axum::middleware::from_fn_with_state(hosts, guard::guard))
        .layer(
            ServiceBuilder::new()
                .layer(TimeoutLayer::with_status_code(
                    StatusCode::REQUEST_TIMEOUT,
                    MOST_WAIT,
                ))
                .layer(RequestBodyLimitLayer::new(MOST_BYTES)),
        );
    guard::HEADERS
        .into_iter()
        .fold(routes, |routes, (name, value)| {
            routes.layer(SetResponseHeaderLayer::overriding(name, value))
        })
}

async fn show(State(app): State<Arc<App>>) -> Response {
    // Files are looked at: not on the threads that answer others.
    let page = tokio::task::spawn_blocking(move || page::page(&app.base, app.units)).await;
    match page {
        Ok(Ok(page)) => Html(page).into_response(),
        Ok(Err(refusal)) => refused(StatusCode::INTERNAL_SERVER_ERROR, &refusal.to_string()),
        Err(_) => failed(),
    }
}

async fn answered(
    State(app): State<Arc<App>>,
    asked: Result<Json<Asked>, JsonRejection>,
) -> Response {
    let Json(asked) = match asked {
        Ok(asked) => asked,
        Err(rejection) => return refused(rejection.status(), &rejection.body_text()),
    };
    let place = Arc::clone(&app.places).acquire_owned();
    let Ok(Ok(place)) = tokio::time::timeout(WAIT_FOR_PLACE, place).await else {
        return refused(StatusCode::SERVICE_UNAVAILABLE, &Refusal::Busy.to_string());
    };
    let checking = Arc::clone(&app);
    let checked = tokio::task::spawn_blocking(move || {
        answer::checked(&checking, &asked).map(|pair| (asked, pair))
    });
    let (asked, pair) = match checked.await {
        Ok(Ok(checked)) => checked,
        Ok(Err(refusal)) => return refused(StatusCode::UNPROCESSABLE_ENTITY, &refusal.to_string()),
        Err(_) => return failed(),
    };
    let (sender, lines) = mpsc::channel(LINES);
    tokio::task::spawn_blocking(move || {
        answer::work(&app, &asked, &pair, &sender);
        drop(place);
    });
    let kind = [(header::CONTENT_TYPE, "application/x-ndjson; charset=utf-8")];
    (kind, stream::body(lines)).into_response()
}

async fn saved(State(app): State<Arc<App>>, asked: Result<Json<Save>, JsonRejection>) -> Response {
    let Json(asked) = match asked {
        Ok(asked) => asked,
        Err(rejection) => return refused(rejection.status(), &rejection.body_text()),
    };
    match tokio::task::spawn_blocking(move || save::save(&app, &asked)).await {
        Ok(Ok(saved)) => Json(saved).into_response(),
        Ok(Err(refusal @ Refusal::Write(_))) => {
            refused(StatusCode::INTERNAL_SERVER_ERROR, &refusal.to_string())
        }
        Ok(Err(refusal @ (Refusal::Taken(_) | Refusal::NotAnswered))) => {
            refused(StatusCode::CONFLICT, &refusal.to_string())
        }
        Ok(Err(refusal)) => refused(StatusCode::UNPROCESSABLE_ENTITY, &refusal.to_string()),
        Err(_) => failed(),
    }
}

fn refused(status: StatusCode, problem: &str) -> Response {
    (status, Json(json!({ "problem": problem }))).into_response()
}

fn failed() -> Response {
    refused(
        StatusCode::INTERNAL_SERVER_ERROR,
        "the work failed; what was saved before is untouched",
    )
}
