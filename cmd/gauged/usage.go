package main

// usage is what --help prints. The manual page is made of it.
const usage = `gauged is the daemon of a measuring bench. It reads digital gauges, stores every reading
and runs jobs on units. gaugectl, the bench page and other programs ask it.

Usage:
  gauged [--config FILE] [--check] [--verbose]
  gauged --version

Flags:
  --config FILE  the station's configuration (default ` + defaultConfig + `)
  --check        read the configuration and every file that it names, report all
                 problems, and end
  --verbose      also log routine events
  --version      print the version and end

Signals:
  HUP        read the configuration and all files that it names again
  TERM, INT  shut down; a second one ends the daemon at once

Files:
  /etc/gauged/gauged.yaml     the station's configuration
  /var/lib/gauged/history.db  the history, when it runs as a service
  /run/gauged/gauged.sock     the socket of gaugectl, when it runs as a service

Environment:
  LC_ALL, LC_MESSAGES, LANG  the language of what is wrong with the configuration, or why
                             the daemon cannot start: English or German

Exit codes:
  0   It ended as it was told.
  1   It failed; the log says why.
  2   The command line is wrong.
  78  The configuration has problems. Starting it again does not help.
`
