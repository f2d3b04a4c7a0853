//! `overwinter serve` through the program, over plain TCP, as its page and as others ask.

use serde_json::{Value, json};
use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::net::TcpStream;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};
use support::program::{Yard, overwinter, shipped};

/// A program that serves a yard; ended when dropped.
struct Served {
    program: Child,
    address: String,
}

impl Served {
    fn new(yard: &Yard, more: &[&str]) -> Self {
        let mut program = overwinter()
            .args([&["serve", "--port", "0"], more].concat())
            .current_dir(yard.path(""))
            .stdout(Stdio::piped())
            .spawn()
            .expect("started");
        let mut first = String::new();
        let out = program.stdout.take().expect("its output");
        BufReader::new(out).read_line(&mut first).expect("a line");
        let address = first.trim().strip_prefix("http://").expect("an address");
        Self {
            address: address.trim_end_matches('/').to_owned(),
            program,
        }
    }

    fn connect(&self) -> TcpStream {
        let stream = TcpStream::connect(&self.address).expect("a connection");
        let most = Some(Duration::from_secs(120));
        stream.set_read_timeout(most).expect("a limit");
        stream
    }

    /// Sends bytes and reads all that comes back.
    fn send(&self, bytes: &str) -> String {
        let mut stream = self.connect();
        stream.write_all(bytes.as_bytes()).expect("sent");
        let mut answer = Vec::new();
        stream.read_to_end(&mut answer).expect("an answer");
        String::from_utf8(answer).expect("UTF-8")
    }

    fn get(&self, path: &str, host: &str) -> String {
        self.send(&format!(
            "GET {path} HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n"
        ))
    }

    fn request(&self, path: &str, headers: &str, body: &str) -> String {
        format!(
            "POST {path} HTTP/1.1\r\nHost: {}\r\nConnection: close\r\nContent-Length: {}\r\n{headers}\r\n{body}",
            self.address,
            body.len()
        )
    }

    /// As the page posts.
    fn post(&self, path: &str, body: &Value) -> String {
        let headers = format!(
            "Origin: http://{}\r\nContent-Type: application/json\r\n",
            self.address
        );
        self.send(&self.request(path, &headers, &body.to_string()))
    }
}

impl Drop for Served {
    fn drop(&mut self) {
        // It may have ended by itself.
        let _ = self.program.kill();
        let _ = self.program.wait();
    }
}

fn status(answer: &str) -> &str {
    answer.split(' ').nth(1).unwrap_or("no status")
}

/// What is in the body of a response in pieces.
fn body(answer: &str) -> String {
    let (head, body) = answer.split_once("\r\n\r\n").expect("a head");
    if !head.to_lowercase().contains("transfer-encoding: chunked") {
        return body.to_owned();
    }
    let (mut whole, mut rest) = (String::new(), body);
    while let Some((size, after)) = rest.split_once("\r\n") {
        let size = usize::from_str_radix(size, 16).expect("a size");
        whole += &after[..size];
        rest = after[size..].trim_start_matches("\r\n");
    }
    whole
}

fn lines(answer: &str) -> Vec<Value> {
    assert_eq!(status(answer), "200", "{answer}");
    let body = body(answer);
    body.lines()
        .map(|line| serde_json::from_str(line).expect("JSON"))
        .collect()
}

fn asked(settings: &Value) -> Value {
    json!({ "settings": settings, "look": { "us": false, "dark": false, "width_px": 640 } })
}

fn saved_as(name: &str, settings: &Value) -> Value {
    let mut body = asked(settings);
    body["name"] = json!(name);
    body
}

fn problem(answer: &str) -> String {
    let told: Value = serde_json::from_str(&body(answer)).expect("JSON");
    told["problem"].as_str().expect("a problem").to_owned()
}

#[test]
fn the_page_comes_with_a_strict_policy_and_nothing_of_elsewhere() {
    let yard = Yard::new();
    yard.write("<script>alert(1)<.csv", support::program::one_winter());
    let served = Served::new(&yard, &[]);
    for path in ["/", "/page.js", "/page.css", "/font.css", "/nothing"] {
        let answer = served.get(path, &served.address);
        assert_eq!(
            status(&answer),
            if path == "/nothing" { "404" } else { "200" }
        );
        let (head, text) = answer.split_once("\r\n\r\n").expect("a head");
        assert!(
            head.contains("content-security-policy: default-src 'none'; script-src 'self'"),
            "{head}"
        );
        assert!(head.contains("x-content-type-options: nosniff"), "{head}");
        assert!(!text.contains("://"), "{path}");
    }
    let page = served.get("/", &served.address);
    assert!(page.contains("&lt;script&gt;alert(1)&lt;.csv (plain)"));
    assert!(!page.contains("<script>alert"));
}

#[test]
fn other_names_other_pages_and_other_forms_are_refused() {
    let yard = Yard::new();
    let served = Served::new(&yard, &[]);
    let port = served.address.split(':').nth(1).expect("a port");
    assert_eq!(
        status(&served.get("/", &format!("localhost:{port}"))),
        "200"
    );
    for host in [
        "evil.example",
        &format!("evil.example:{port}"),
        "127.0.0.1",
        "",
    ] {
        assert_eq!(status(&served.get("/", host)), "421", "{host}");
    }
    let body = asked(&json!({})).to_string();
    let json = "Content-Type: application/json\r\n";
    let ask = |headers: &str| {
        let answer = served.send(&served.request("/answer", headers, &body));
        status(&answer).to_owned()
    };
    assert_eq!(
        ask(&format!("Origin: http://evil.example\r\n{json}")),
        "403"
    );
    assert_eq!(
        ask(&format!("Origin: null\r\nX-Overwinter: page\r\n{json}")),
        "403"
    );
    assert_eq!(ask(json), "403");
    assert_eq!(
        ask("X-Overwinter: page\r\nContent-Type: text/plain\r\n"),
        "415"
    );
    assert_eq!(
        status(&served.send(&format!(
            "DELETE / HTTP/1.1\r\nHost: {}\r\nConnection: close\r\n\r\n",
            served.address
        ))),
        "405"
    );
    assert_eq!(
        status(&served.get("/../Cargo.toml", &served.address)),
        "404"
    );
    assert_eq!(
        status(&served.get("/..%2fCargo.toml", &served.address)),
        "404"
    );
}

#[test]
fn a_huge_or_odd_body_is_refused() {
    let yard = Yard::new();
    let served = Served::new(&yard, &[]);
    let huge = served.post("/answer", &json!({ "settings": "x".repeat(70_000) }));
    assert_eq!(status(&huge), "413");
    for settings in [
        json!({ "unknown": 1 }),
        json!({ "stores_kg": "many" }),
        json!({ "weather": { "file": 3 } }),
    ] {
        assert_eq!(
            status(&served.post("/answer", &asked(&settings))),
            "422",
            "{settings}"
        );
    }
    let stores = served.post("/answer", &asked(&json!({ "stores_kg": 500 })));
    assert_eq!(status(&stores), "422");
    assert!(problem(&stores).contains("colony.stores"), "{stores}");
    // And it still answers.
    assert_eq!(status(&served.get("/", &served.address)), "200");
}

#[test]
fn weather_files_outside_of_the_folder_cannot_be_asked_for() {
    let yard = Yard::new();
    yard.write("outside.csv", support::program::one_winter());
    yard.write("in/.hidden.csv", support::program::one_winter());
    #[cfg(unix)]
    std::os::unix::fs::symlink(yard.path("outside.csv"), yard.path("in/link.csv")).expect("a link");
    let served = Served::new(&yard, &["--folder", "in"]);
    let whole = yard.path("outside.csv").display().to_string();
    for name in [
        "../outside.csv",
        "link.csv",
        ".hidden.csv",
        "/etc/passwd",
        &whole,
        "",
    ] {
        let answer = served.post("/answer", &asked(&json!({ "weather": { "file": name } })));
        assert_eq!(status(&answer), "422", "{name}");
        assert!(problem(&answer).contains("no such weather file"), "{name}");
    }
}

#[test]
fn the_last_answer_is_what_run_says_of_both_saved_scenarios() {
    let yard = Yard::new();
    yard.write("one winter.csv", support::program::one_winter());
    let served = Served::new(&yard, &[]);
    let settings = json!({
        "members": 20, "weather": { "file": "one winter.csv" }, "stores_kg": 14,
        "wall_added_m": 0.04, "lid": "shavings-lid", "vents": "corked", "entrance_m": 0.06
    });
    let early = served.post("/save", &saved_as("spring", &settings));
    assert_eq!(status(&early), "409");
    let lines = lines(&served.post("/answer", &asked(&settings)));
    assert_eq!(lines[0]["kind"], "started");
    let answers: Vec<&Value> = lines
        .iter()
        .filter(|line| line["kind"] == "answer")
        .collect();
    let members: Vec<u64> = answers
        .iter()
        .filter_map(|line| line["members"].as_u64())
        .collect();
    assert_eq!(members, [10, 20]);
    assert_eq!(
        (&answers[0]["complete"], &answers[1]["complete"]),
        (&json!(false), &json!(true))
    );
    assert!(
        answers[1]["charts"]
            .as_str()
            .is_some_and(|charts| charts.contains("<svg"))
    );

    let saved = served.post("/save", &saved_as("spring", &settings));
    assert_eq!(status(&saved), "200", "{saved}");
    for (side, name) in ["spring-as-it-is.toml", "spring-changed.toml"]
        .iter()
        .enumerate()
    {
        let run = yard.succeed(&["run", name, "--json", "--quiet"]);
        let run: Value = serde_json::from_str(&run).expect("JSON");
        let needs = run["summary"]["needs"].as_array().expect("needs");
        let needs: Vec<&Value> = needs.iter().map(|need| &need["kg"]).collect();
        let told = answers[1]["needs_kg"][side].as_array().expect("needs");
        assert_eq!(told.iter().collect::<Vec<_>>(), needs, "{name}");
        assert_eq!(run["summary"]["starved"], answers[1]["starved"][side]);
    }
    let comparison: Value =
        serde_json::from_str(&yard.text("spring/comparison.json")).expect("JSON");
    let compared = yard.succeed(&[
        "compare",
        "spring-as-it-is.toml",
        "spring-changed.toml",
        "--json",
    ]);
    let compared: Value = serde_json::from_str(&compared).expect("JSON");
    assert_eq!(comparison, compared);
    assert!(yard.text("spring/report.html").contains("<svg"));
}

#[test]
fn nothing_is_saved_over_or_outside() {
    let yard = Yard::new();
    yard.write("in/one.csv", support::program::one_winter());
    yard.write("in/taken-changed.toml", "mine");
    let served = Served::new(&yard, &["--folder", "in"]);
    let settings = json!({ "members": 10, "weather": { "file": "one.csv" }, "wall_added_m": 0.04 });
    lines(&served.post("/answer", &asked(&settings)));
    let before = yard.names();
    for name in ["../up", "a/b", "..", "", "-x", "a.toml", "ä", "x\u{0}y"] {
        let answer = served.post("/save", &saved_as(name, &settings));
        assert_eq!(status(&answer), "422", "{name:?}: {answer}");
        assert!(problem(&answer).contains("letters a to z"), "{name:?}");
    }
    let taken = served.post("/save", &saved_as("taken", &settings));
    assert_eq!(status(&taken), "409");
    assert!(problem(&taken).contains("taken-changed.toml is in the folder already"));
    // Other settings than those that were answered.
    let other = json!({ "members": 10, "weather": { "file": "one.csv" }, "wall_added_m": 0.05 });
    assert_eq!(
        status(&served.post("/save", &saved_as("other", &other))),
        "409"
    );
    assert_eq!(yard.names(), before);
    assert_eq!(yard.text("in/taken-changed.toml"), "mine");
}

#[test]
fn an_answer_that_nobody_waits_for_gives_its_place_to_others() {
    let yard = Yard::new();
    let served = Served::new(&yard, &[]);
    let headers = format!(
        "Origin: http://{}\r\nContent-Type: application/json\r\n",
        served.address
    );
    // Each would run for minutes; more of them than there are places.
    for stores_kg in [11, 12, 13, 14] {
        let body = asked(&json!({ "members": 1000, "stores_kg": stores_kg })).to_string();
        let mut stream = served.connect();
        stream
            .write_all(served.request("/answer", &headers, &body).as_bytes())
            .expect("sent");
        let mut first = [0; 12];
        stream.read_exact(&mut first).expect("begun");
        assert_eq!(&first, b"HTTP/1.1 200");
    }
    let begun = Instant::now();
    let last = lines(&served.post("/answer", &asked(&json!({ "members": 10 }))));
    assert_eq!(
        last.last().map(|line| &line["complete"]),
        Some(&json!(true))
    );
    assert!(
        begun.elapsed() < Duration::from_secs(60),
        "{:?}",
        begun.elapsed()
    );
}

#[test]
fn a_taken_port_and_a_folder_that_is_none_are_refused() {
    let yard = Yard::new();
    yard.write("file.csv", shipped("weather/kettlewend.csv"));
    let served = Served::new(&yard, &[]);
    let port = served.address.split(':').nth(1).expect("a port");
    yard.refuse(
        &["serve", "--port", port],
        &["--port", port, "taken by another program"],
    );
    yard.refuse(
        &["serve", "--port", "0", "--folder", "nowhere"],
        &["--folder", "nowhere", "no such folder"],
    );
    yard.refuse(
        &["serve", "--port", "0", "--folder", "file.csv"],
        &["file.csv", "is a file"],
    );
    yard.refuse(
        &["serve", "nowhere.toml", "--port", "0"],
        &["nowhere.toml", "no such file"],
    );
}

#[cfg(unix)]
#[test]
fn a_request_to_end_is_followed_while_an_answer_runs() {
    let yard = Yard::new();
    let mut served = Served::new(&yard, &[]);
    let headers = format!(
        "Origin: http://{}\r\nContent-Type: application/json\r\n",
        served.address
    );
    let body = asked(&json!({ "members": 1000 })).to_string();
    let mut stream = served.connect();
    stream
        .write_all(served.request("/answer", &headers, &body).as_bytes())
        .expect("sent");
    stream.read_exact(&mut [0; 12]).expect("begun");
    let told = Command::new("kill")
        .args(["-TERM", &served.program.id().to_string()])
        .status()
        .expect("told");
    assert!(told.success());
    let begun = Instant::now();
    let ended = served.program.wait().expect("ended");
    assert!(ended.success(), "{ended}");
    assert!(
        begun.elapsed() < Duration::from_secs(20),
        "{:?}",
        begun.elapsed()
    );
}
