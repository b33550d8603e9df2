//! A server, a driver and a browser for one story, and what a person does with a page.

use core::time::Duration;
use std::net::{IpAddr, Ipv4Addr, SocketAddr, TcpListener, TcpStream};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};

use stemwise_serve::{Security, export, make, serve};
use thirtyfour::prelude::*;

type Result<T> = core::result::Result<T, Box<dyn std::error::Error + Send + Sync>>;

/// Patience with a loaded machine.
const PATIENCE: Duration = Duration::from_secs(60);
const OFTEN: Duration = Duration::from_millis(100);

/// What the app is looked at with.
#[derive(Clone, Copy)]
pub(crate) enum Device {
    Phone,
    Desk,
}

impl Device {
    const fn size(self) -> (u32, u32) {
        match self {
            Self::Phone => (390, 844),
            Self::Desk => (1366, 900),
        }
    }
}

/// Where the app comes from.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum From {
    /// This machine, over http.
    Here,
    /// This machine, over https with a certificate made on the spot.
    #[allow(dead_code, reason = "not every file that has this support needs it")]
    Secured,
    /// A folder that was written out, behind a plain file server.
    #[allow(dead_code, reason = "not every file that has this support needs it")]
    Folder,
}

/// Where chromium and its driver are.
#[derive(Clone)]
pub(crate) struct Browser {
    driver: PathBuf,
    chromium: PathBuf,
}

/// The browser of this machine; none where there is none and nobody insists.
pub(crate) fn browser() -> Option<Browser> {
    let found = |names: &[&str]| {
        let path = std::env::var_os("PATH").unwrap_or_default();
        let all: Vec<PathBuf> = std::env::split_paths(&path).collect();
        names
            .iter()
            .flat_map(|name| all.iter().map(move |folder| folder.join(name)))
            .find(|file| file.exists())
    };
    let driver = found(&["chromedriver"]);
    let chromium = found(&["chromium", "chromium-browser", "google-chrome"]);
    let both = driver.zip(chromium).map(|(driver, chromium)| Browser { driver, chromium });
    if both.is_none() {
        assert!(std::env::var_os("CI").is_none(), "chromium and chromedriver are missing");
        eprintln!("NOT RUN: chromium and chromedriver are missing");
    }
    both
}

fn free_port() -> u16 {
    let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, 0)).expect("a port is free");
    listener.local_addr().expect("it has an address").port()
}

fn is_up(port: u16) -> bool {
    TcpStream::connect((Ipv4Addr::LOCALHOST, port)).is_ok()
}

/// A process that ends with the story.
struct Held(Child);

impl Drop for Held {
    fn drop(&mut self) {
        // One that has ended already is as good.
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

/// A story's own server, driver and browser.
pub(crate) struct Session {
    pub(crate) page: Page,
    server: core::cell::RefCell<Option<Held>>,
    _driver: Held,
    profile: tempdir::Folder,
}

mod tempdir {
    use std::path::PathBuf;

    /// A folder that goes with the story.
    pub(super) struct Folder(pub(super) PathBuf);

    impl Folder {
        pub(super) fn new(port: u16) -> Self {
            let path = std::env::temp_dir().join(format!("stemwise-browser-{}-{port}", std::process::id()));
            std::fs::create_dir_all(&path).expect("a folder can be made");
            Self(path)
        }
    }

    impl Drop for Folder {
        fn drop(&mut self) {
            // A browser that is slow to go may still hold it.
            let _ = std::fs::remove_dir_all(&self.0);
        }
    }
}

/// Notes every complaint of the page, over reloads.
const LISTEN: &str = "(() => { const note = (said) => { sessionStorage.complaints = (sessionStorage.complaints ?? '') + said + '\\n'; };\
    addEventListener('error', (event) => note(event.message)); addEventListener('unhandledrejection', (event) => note(event.reason));\
    const error = console.error; console.error = (...said) => { note(said.join(' ')); error(...said); }; })();";

impl Session {
    pub(crate) async fn start(browser: Browser, device: Device, from: From) -> Result<Self> {
        let (port, driver_port) = (free_port(), free_port());
        let profile = tempdir::Folder::new(port);
        let server = Held(served(from, port, &profile.0)?);
        let driver = Held(
            Command::new(&browser.driver)
                .arg(format!("--port={driver_port}"))
                .stdout(Stdio::null())
                .stderr(Stdio::null())
                .spawn()?,
        );
        for port in [port, driver_port] {
            for _ in 0..600 {
                if is_up(port) {
                    break;
                }
                tokio::time::sleep(OFTEN).await;
            }
        }
        let (width, height) = device.size();
        let mut wanted = DesiredCapabilities::chrome();
        wanted.set_binary(&browser.chromium.to_string_lossy())?;
        for argument in [
            "--headless=new",
            "--no-sandbox",
            "--disable-gpu",
            "--disable-dev-shm-usage",
            "--lang=en",
            "--hide-scrollbars",
            // The certificate that was made on the spot is known to nobody here.
            "--ignore-certificate-errors",
        ] {
            wanted.add_arg(argument)?;
        }
        wanted.add_arg(&format!("--user-data-dir={}", profile.0.join("browser").display()))?;
        wanted.add_arg(&format!("--window-size={width},{height}"))?;
        let driver_address = format!("http://localhost:{driver_port}");
        let web = WebDriver::new(&driver_address, wanted).await?;
        let tools = web.cdp();
        let metrics = serde_json::json!({ "width": width, "height": height, "deviceScaleFactor": 1, "mobile": matches!(device, Device::Phone) });
        tools.send_raw("Emulation.setDeviceMetricsOverride", metrics).await?;
        tools
            .send_raw("Page.addScriptToEvaluateOnNewDocument", serde_json::json!({ "source": LISTEN }))
            .await?;
        std::fs::create_dir_all(profile.0.join("saved"))?;
        let saved = serde_json::json!({ "behavior": "allow", "downloadPath": profile.0.join("saved") });
        tools.send_raw("Browser.setDownloadBehavior", saved).await?;
        let scheme = if from == From::Secured { "https" } else { "http" };
        let page = Page { web, address: format!("{scheme}://localhost:{port}"), device };
        Ok(Self { page, server: core::cell::RefCell::new(Some(server)), _driver: driver, profile })
    }

    /// The folder that the app was written out to.
    #[allow(dead_code, reason = "not every file that has this support needs it")]
    pub(crate) fn folder(&self) -> PathBuf {
        self.profile.0.join("app")
    }

    /// What was saved under a name, as soon as it is there.
    #[allow(dead_code, reason = "not every file that has this support needs it")]
    pub(crate) async fn saved(&self, name: &str) -> Result<PathBuf> {
        let path = self.profile.0.join("saved").join(name);
        for _ in 0..600 {
            if path.metadata().is_ok_and(|file| file.len() > 0) {
                return Ok(path);
            }
            tokio::time::sleep(OFTEN).await;
        }
        Err(format!("{name} was never saved").into())
    }

    /// From here on nothing answers: the server is gone.
    pub(crate) fn cut_network(&self) {
        self.server.borrow_mut().take();
    }
}

/// A server that runs until it is killed, in a process of its own.
fn served(from: From, port: u16, folder: &Path) -> Result<Child> {
    let mut command = if from == From::Folder {
        let app = folder.join("app");
        export(&app)?;
        let mut python = Command::new("python3");
        python
            .args(["-m", "http.server", "--bind", "localhost", "--directory"])
            .arg(app)
            .arg(port.to_string());
        python
    } else {
        let mut own = Command::new(std::env::current_exe()?);
        own.args(["--exact", "support::serving", "--ignored"]).env("STEMWISE_TEST_PORT", port.to_string());
        if from == From::Secured {
            own.env("STEMWISE_TEST_CERTIFICATES", folder.join("certificates"));
        }
        own
    };
    Ok(command.stdout(Stdio::null()).stderr(Stdio::null()).spawn()?)
}

/// The server of a story, in a process of its own so that it can be killed. Not a test: it runs until it is killed.
#[test]
#[ignore = "serves another test"]
fn serving() {
    let Some(port) = std::env::var("STEMWISE_TEST_PORT").ok().and_then(|port| port.parse().ok()) else {
        return;
    };
    let address = SocketAddr::from((Ipv4Addr::LOCALHOST, port));
    let security = match std::env::var_os("STEMWISE_TEST_CERTIFICATES") {
        None => Security::Plain,
        Some(folder) => {
            let here = [IpAddr::V4(Ipv4Addr::LOCALHOST)];
            let made = make(Path::new(&folder), &["localhost".into()], &here).expect("a certificate is made");
            Security::Certificate { certificate: made.certificate, key: made.key }
        }
    };
    serve(address, &security, |_| ()).expect("it serves");
}

/// A page under a person's hands.
#[derive(Clone)]
pub(crate) struct Page {
    web: WebDriver,
    address: String,
    device: Device,
}

/// Base64 (RFC 4648), as the browser's protocol packs what it prints.
fn unpacked(text: &str) -> Vec<u8> {
    let value = |byte: u8| match byte {
        b'A'..=b'Z' => Some(byte - b'A'),
        b'a'..=b'z' => Some(byte - b'a' + 26),
        b'0'..=b'9' => Some(byte - b'0' + 52),
        b'+' => Some(62),
        b'/' => Some(63),
        _ => None,
    };
    let (mut bits, mut held, mut out) = (0_u32, 0, Vec::with_capacity(text.len() / 4 * 3));
    for six in text.bytes().filter_map(value) {
        bits = bits << 6 | u32::from(six);
        held += 6;
        if held >= 8 {
            held -= 8;
            out.push((bits >> held & 0xff) as u8);
        }
    }
    out
}

/// The text of an XPath string, whatever quotes are in it.
fn quoted(text: &str) -> String {
    if text.contains('\'') { format!("\"{text}\"") } else { format!("'{text}'") }
}

impl Page {
    pub(crate) async fn open(&self, hash: &str) -> Result<()> {
        self.web.goto(format!("{}/index.html{hash}", self.address)).await?;
        self.wait("main").await.map(|_| ())
    }

    pub(crate) async fn reload(&self) -> Result<()> {
        self.web.refresh().await?;
        self.wait("main").await.map(|_| ())
    }

    /// The first element that a selector finds, as soon as it is there.
    pub(crate) async fn wait(&self, selector: &str) -> Result<WebElement> {
        let found = self.web.query(By::Css(selector)).wait(PATIENCE, OFTEN).first().await;
        found.map_err(|_| format!("nothing is \"{selector}\"").into())
    }

    /// Touches the first element that a selector finds: brought to the middle first, tried again where it is replaced meanwhile.
    pub(crate) async fn touch(&self, selector: &str) -> Result<()> {
        for _ in 0..600 {
            if let Ok(found) = self.web.find(By::Css(selector)).await
                && self.click(&found).await.is_ok()
            {
                return Ok(());
            }
            tokio::time::sleep(OFTEN).await;
        }
        Err(format!("\"{selector}\" can't be touched").into())
    }

    /// Brings an element to the middle and clicks it there, as a hand would.
    async fn click(&self, element: &WebElement) -> Result<()> {
        let middle = "arguments[0].scrollIntoView({ block: 'center', inline: 'center' })";
        self.web.execute(middle, vec![element.to_json()?]).await?;
        Ok(element.click().await?)
    }

    pub(crate) async fn count(&self, selector: &str) -> Result<usize> {
        Ok(self.web.find_all(By::Css(selector)).await?.len())
    }

    pub(crate) async fn text(&self, selector: &str) -> Result<String> {
        Ok(self.wait(selector).await?.text().await?)
    }

    /// Waits until one of the elements that a selector finds says something.
    pub(crate) async fn until(&self, selector: &str, says: &str) -> Result<()> {
        let mut last = String::new();
        for _ in 0..600 {
            let mut said = Vec::new();
            for found in self.web.find_all(By::Css(selector)).await? {
                // What is replaced while it is read is read again.
                said.push(found.text().await.unwrap_or_default());
            }
            if said.iter().any(|text| text.contains(says)) {
                return Ok(());
            }
            last = said.join(" | ");
            tokio::time::sleep(OFTEN).await;
        }
        Err(format!("\"{selector}\" never said \"{says}\", but \"{last}\"").into())
    }

    /// Presses the button or link that says exactly this.
    pub(crate) async fn press(&self, says: &str) -> Result<()> {
        let path = format!("//*[self::button or self::a][normalize-space(.)={}]", quoted(says));
        for _ in 0..600 {
            if let Ok(button) = self.web.find(By::XPath(path.as_str())).await {
                // What covers it or replaces it passes.
                if button.is_enabled().await.unwrap_or(false) && self.click(&button).await.is_ok() {
                    return Ok(());
                }
            }
            tokio::time::sleep(OFTEN).await;
        }
        Err(format!("nothing to press says \"{says}\"").into())
    }

    pub(crate) async fn fill(&self, selector: &str, text: &str) -> Result<()> {
        let field = self.wait(selector).await?;
        field.clear().await?;
        field.send_keys(text).await?;
        Ok(())
    }

    /// Types into the field that a label names within an element, and leaves it.
    #[allow(dead_code, reason = "not every file that has this support needs it")]
    pub(crate) async fn fill_in(&self, within: &str, label: &str, text: &str) -> Result<()> {
        let within = self.wait(within).await?;
        let path = format!(".//label[starts-with(normalize-space(.), {})]//input", quoted(label));
        let field = within.query(By::XPath(path.as_str())).wait(PATIENCE, OFTEN).first().await?;
        field.clear().await?;
        field.send_keys(text).await?;
        field.send_keys(Key::Tab).await?;
        Ok(())
    }

    /// Types into the field that a label names, and leaves it.
    pub(crate) async fn fill_labelled(&self, label: &str, text: &str) -> Result<()> {
        let path = format!("//fieldset[1]//label[starts-with(normalize-space(.), {})]//input", quoted(label));
        let field = self.web.query(By::XPath(path.as_str())).wait(PATIENCE, OFTEN).first().await?;
        field.send_keys(text).await?;
        field.send_keys(Key::Tab).await?;
        Ok(())
    }

    /// Types a key of a piece on the pipe, counted from 1.
    pub(crate) async fn fill_in_piece(&self, at: usize, key: &str, text: &str) -> Result<()> {
        let path =
            format!("//ol[@class='pieces']/li[{at}]//label[normalize-space(.)={}]//input", quoted(key));
        let field = self.web.query(By::XPath(path.as_str())).wait(PATIENCE, OFTEN).first().await?;
        field.scroll_into_view().await?;
        field.send_keys(text).await?;
        field.send_keys(Key::Tab).await?;
        Ok(())
    }

    /// Takes hold of an element and moves it to the right.
    pub(crate) async fn drag(&self, element: &WebElement, by: i64) -> Result<()> {
        element.scroll_into_view().await?;
        self.web
            .action_chain()
            .click_and_hold_element(element)
            .move_by_offset(by, 0)
            .release()
            .perform()
            .await?;
        Ok(())
    }

    /// Waits until the device keeps the app.
    pub(crate) async fn kept_offline(&self) -> Result<()> {
        let script = "const done = arguments[0]; navigator.serviceWorker.ready.then(() => done(true), () => done(false));";
        let kept = self.web.execute_async(script, Vec::new()).await?;
        // The page that registered the worker is served by it from the next load on.
        if kept.json().as_bool() == Some(true) { Ok(()) } else { Err("the app is not kept".into()) }
    }

    /// Errors that the console tells.
    pub(crate) async fn complaints(&self) -> Vec<String> {
        let found = self.web.execute("return sessionStorage.complaints ?? ''", Vec::new()).await;
        let found = found.ok().and_then(|found| found.json().as_str().map(str::to_owned)).unwrap_or_default();
        found.lines().map(str::to_owned).collect()
    }

    /// The accessibility engine's verdict, by WCAG 2.2 AA.
    pub(crate) async fn audit(&self, screen: &str) -> Result<()> {
        self.web.execute(include_str!("../axe/axe.min.js"), Vec::new()).await?;
        let script = "const done = arguments[0]; axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'] })\
            .then((found) => done(found.violations.map((v) => v.id + ': ' + v.nodes.slice(0, 3).map((n) => n.html.slice(0, 160)).join(' ; '))));";
        let found = self.web.execute_async(script, Vec::new()).await?;
        let found: Vec<String> = found
            .json()
            .as_array()
            .ok_or("the engine says nothing")?
            .iter()
            .map(ToString::to_string)
            .collect();
        if found.is_empty() { Ok(()) } else { Err(format!("{screen}: {}", found.join("\n")).into()) }
    }

    /// Nothing sticks out sideways, no text is smaller than 14 px, and what can be pressed is large enough.
    pub(crate) async fn fits(&self, screen: &str) -> Result<()> {
        let script = "const bad = [];\
            if (document.documentElement.scrollWidth > innerWidth + 1) bad.push('wider than the screen: ' + document.documentElement.scrollWidth);\
            for (const e of document.querySelectorAll('main *, header *, nav *')) {\
              const box = e.getBoundingClientRect(); if (!box.width || !box.height) continue;\
              const own = [...e.childNodes].some((n) => n.nodeType === 3 && n.textContent.trim());\
              if (own && !e.closest('svg') && parseFloat(getComputedStyle(e).fontSize) < 13.9) bad.push('small text: ' + e.outerHTML.slice(0, 120));\
              if (e.matches('button, a.button, nav a, select, input:not([type=checkbox])') && (box.height < 43.5 || box.width < 43.5)) bad.push('small target: ' + e.outerHTML.slice(0, 120));\
            } return bad.slice(0, 5);";
        let found = self.web.execute(script, Vec::new()).await?;
        let found: Vec<String> =
            found.json().as_array().ok_or("no answer")?.iter().map(ToString::to_string).collect();
        if found.is_empty() { Ok(()) } else { Err(format!("{screen}: {}", found.join("\n")).into()) }
    }

    /// Chooses a file where the page asks for one.
    #[allow(dead_code, reason = "not every file that has this support needs it")]
    pub(crate) async fn choose(&self, selector: &str, file: &Path) -> Result<()> {
        let field =
            self.web.query(By::Css(selector)).and_not_displayed().wait(PATIENCE, OFTEN).first().await?;
        Ok(field.send_keys(file.display().to_string()).await?)
    }

    /// What a script comes to; it calls its one argument with it.
    #[allow(dead_code, reason = "not every file that has this support measures")]
    pub(crate) async fn ask(&self, script: &str) -> Result<serde_json::Value> {
        let script = format!("const done = arguments[0]; {script}");
        Ok(self.web.execute_async(&script, Vec::new()).await?.json().clone())
    }

    /// Slows the page down so many times, by the browser's own throttle.
    #[allow(dead_code, reason = "not every file that has this support measures")]
    pub(crate) async fn slow_down(&self, times: f64) -> Result<()> {
        self.web
            .cdp()
            .send_raw("Emulation.setCPUThrottlingRate", serde_json::json!({ "rate": times }))
            .await?;
        Ok(())
    }

    /// Keeps a picture where `STEMWISE_PICTURES` names a folder.
    pub(crate) async fn picture(&self, name: &str) -> Result<()> {
        if let Some(folder) = std::env::var_os("STEMWISE_PICTURES") {
            let size = match self.device {
                Device::Phone => "phone",
                Device::Desk => "desk",
            };
            self.web.screenshot(&PathBuf::from(folder).join(format!("{name}-{size}.png"))).await?;
        }
        Ok(())
    }

    /// The page as it is printed or saved as a PDF; kept where `STEMWISE_PICTURES` names a folder.
    #[allow(dead_code, reason = "not every file that has this support needs it")]
    pub(crate) async fn printed(&self, name: &str, letter: bool) -> Result<Vec<u8>> {
        let (width, height) = if letter { (8.5, 11.0) } else { (8.27, 11.69) };
        let wanted =
            serde_json::json!({ "paperWidth": width, "paperHeight": height, "preferCSSPageSize": true });
        let found = self.web.cdp().send_raw("Page.printToPDF", wanted).await?;
        let data = found.get("data").and_then(|data| data.as_str()).ok_or("nothing was printed")?;
        let pdf = unpacked(data);
        if let Some(folder) = std::env::var_os("STEMWISE_PICTURES") {
            std::fs::write(PathBuf::from(folder).join(format!("{name}.pdf")), &pdf)?;
        }
        Ok(pdf)
    }

    /// A picture of what went wrong, where they are wanted.
    pub(crate) async fn keep_picture(&self, name: &str) {
        // The story has failed already.
        let _ = self.picture(name).await;
    }

    pub(crate) async fn quit(self) {
        // A browser that is gone already is as good.
        let _ = self.web.quit().await;
    }
}
