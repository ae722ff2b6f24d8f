package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"runtime/debug"
	"slices"
	"strings"
	"sync"
	"syscall"
	"time"

	"github.com/urfave/cli/v2"
	"golang.org/x/term"

	"voidline/clash/finding"
	"voidline/reports/text"
	"voidline/reports/words"
	"voidline/void/vocabulary"
)

// Exit statuses.
const (
	statusClear    = 0 // nothing found
	statusFindings = 1
	statusInput    = 2 // the tables have problems
	statusUsage    = 3 // wrong usage, or anything else
)

// exit carries a status through the library, which would call os.Exit itself.
type exit struct {
	status int
	err    error // printed; nil where all has been said
}

func (e exit) Error() string {
	if e.err == nil {
		return fmt.Sprintf("status %d", e.status)
	}
	return e.err.Error()
}

// world is what a command may see of the outside.
type world struct {
	in         io.Reader
	out, errs  io.Writer
	width      int
	color      bool
	isTerminal bool
	terminal   *os.File // of errs, nil where it is none
	line       *progress
	writing    sync.Mutex
	ctx        context.Context // done when the program is told to stop
}

// run does the work of main and returns the exit status.
func run(args []string, in io.Reader, out, errs io.Writer) (status int) {
	defer func() {
		if r := recover(); r != nil {
			fmt.Fprintf(errs, "voidline: a fault of the program, not of your tables: %s\n%s", words.Clean(fmt.Sprint(r)), debug.Stack())
			status = statusUsage
		}
	}()
	ends := []os.Signal{os.Interrupt, syscall.SIGTERM}
	if !signal.Ignored(syscall.SIGHUP) { // else it was told to go on when the line hangs up
		ends = append(ends, syscall.SIGHUP)
	}
	ctx, stop := signal.NotifyContext(context.Background(), ends...)
	defer stop()
	w := look(in, out, errs)
	w.ctx = ctx
	defer func() { w.line.end() }()
	over := make(chan struct{})
	defer close(over)
	go w.giveUp(ctx, over)
	a := app(w)
	args, err := arrange(args, a.Commands)
	if err == nil {
		err = a.RunContext(ctx, args)
	}
	var e exit
	switch {
	case err == nil:
		return statusClear
	case errors.As(err, &e):
		if e.err != nil {
			w.tell(fmt.Sprintf("voidline: %v", e.err))
		}
		return e.status
	case errors.Is(err, context.Canceled):
		w.tell("voidline: stopped")
		return statusUsage
	}
	w.tell(fmt.Sprintf("voidline: %v", err))
	return statusUsage
}

// tell writes one line on the error stream. Whatever names of files, folders and cells stand in it, it stays one line, and
// none of its signs tells a terminal to do anything.
func (w *world) tell(line string) { fmt.Fprintln(w.errs, words.Clean(line)) }

// stopWithin is how long work that is told to stop may go on to end by itself.
const stopWithin = 50 * time.Millisecond

// giveUp ends the program when it was told to stop and what it is at does not end soon by itself. A file that is being
// written is not left behind half: writing ends first.
func (w *world) giveUp(ctx context.Context, over <-chan struct{}) {
	select {
	case <-over:
		return
	case <-ctx.Done():
	}
	select {
	case <-over:
		return
	case <-time.After(stopWithin):
	}
	w.writing.Lock() // never given back
	select {
	case <-over:
		return
	default:
	}
	w.tell("voidline: stopped")
	os.Exit(statusUsage)
}

// write calls what writes files, so that the program does not end in its midst.
func (w *world) write(ctx context.Context, files func() error) error {
	w.writing.Lock()
	defer w.writing.Unlock()
	if ctx != nil && ctx.Err() != nil {
		return ctx.Err()
	}
	return files()
}

// look reads what the environment says of the terminal.
func look(in io.Reader, out, errs io.Writer) *world {
	w := &world{in: in, width: 80}
	w.out, w.errs = clearing{w, out}, clearing{w, errs}
	if f, ok := errs.(*os.File); ok && term.IsTerminal(int(f.Fd())) {
		w.terminal = f
	}
	if f, ok := out.(*os.File); ok && term.IsTerminal(int(f.Fd())) {
		w.isTerminal = true
		if cols, _, err := term.GetSize(int(f.Fd())); err == nil && cols > 0 {
			w.width = min(max(cols, 40), 120)
		}
		_, no := os.LookupEnv("NO_COLOR")
		w.color = !no && os.Getenv("TERM") != "dumb"
	}
	return w
}

func (w *world) options() text.Options { return text.Options{Width: w.width, Color: w.color} }

func app(w *world) *cli.App {
	cli.VersionPrinter = func(c *cli.Context) { fmt.Fprintf(c.App.Writer, "voidline %s\n", finding.Version) }
	return &cli.App{
		Name:  "voidline",
		Usage: "add up whether the services above a ceiling fit, before anything is fixed",
		Description: "voidline reads a folder of CSV tables (bays, build-ups and the zones of each trade), stacks them in\n" +
			"each bay's section and reports overlaps, tight gaps and access problems.\n\n" +
			"Start with:  voidline new my-project   then:  voidline check my-project",
		Version:              finding.Version,
		HideVersion:          false,
		EnableBashCompletion: true,
		// A bay may have a comma in its name: A-B/1-2, Level 1.
		DisableSliceFlagSeparator: true,
		Writer:                    w.out,
		ErrWriter:                 w.errs,
		ExitErrHandler:            func(*cli.Context, error) {},
		OnUsageError:              usageError,
		CommandNotFound: func(*cli.Context, string) {
		},
		Action: func(c *cli.Context) error {
			if c.Args().Present() {
				return noCommand(c.Args().First(), c.App.Commands)
			}
			return cli.ShowAppHelp(c)
		},
		Commands: []*cli.Command{checkCommand(w), stackCommand(w), sectionCommand(w), planCommand(w), reportCommand(w), compareCommand(w), tryCommand(w), registerCommand(w), levelsCommand(w), lineCommand(w), setoutCommand(w), rulesCommand(w), tablesCommand(w), newCommand(w), importCommand(w), completionCommand(w)},
	}
}

func usageError(_ *cli.Context, err error, _ bool) error {
	return exit{statusUsage, fmt.Errorf("%w; add --help to the command to see its options", err)}
}

// arrange puts the flags of a command before its folder, for the library stops reading flags at the
// first word that is none; -- ends them. It also says what is wrong with them in the words that were typed.
func arrange(args []string, commands []*cli.Command) ([]string, error) {
	if len(args) < 2 || args[len(args)-1] == "--generate-bash-completion" {
		return args, nil
	}
	var cmd *cli.Command
	for _, c := range commands {
		if c.HasName(args[1]) {
			cmd = c
		}
	}
	if cmd == nil && strings.HasPrefix(args[1], "-") && !slices.Contains([]string{"--help", "-h", "--version", "-v", "--generate-bash-completion", "--"}, args[1]) {
		return nil, exit{statusUsage, fmt.Errorf("no option %s; options stand after a command; voidline help lists the commands", args[1])}
	}
	if cmd == nil {
		if (args[1] == "help" || args[1] == "h") && len(args) > 2 && !slices.ContainsFunc(commands, func(c *cli.Command) bool { return c.HasName(args[2]) }) {
			return nil, noCommand(args[2], commands)
		}
		return args, nil
	}
	takes := map[string]string{"help": "", "h": "", "generate-bash-completion": ""} // name -> what its value is called
	names := []string{"--help"}
	for _, f := range cmd.Flags {
		value := ""
		if d, ok := f.(cli.DocGenerationFlag); ok && d.TakesValue() {
			value = valueName(d.GetUsage())
		}
		for _, n := range f.Names() {
			takes[n] = value
			names = append(names, dashed(n))
		}
	}
	var flags, rest []string
	for i := 2; i < len(args); i++ {
		a := args[i]
		if a == "--" {
			rest = append(rest, args[i+1:]...)
			break
		}
		if !strings.HasPrefix(a, "-") || a == "-" {
			rest = append(rest, a)
			continue
		}
		name, _, has := strings.Cut(strings.TrimLeft(a, "-"), "=")
		value, known := takes[name]
		if !known {
			hint := ""
			if n, ok := vocabulary.Nearest(dashed(name), names); ok {
				hint = fmt.Sprintf(" (did you mean %s?)", n)
			}
			typed, _, _ := strings.Cut(a, "=")
			return nil, exit{statusUsage, fmt.Errorf("no option %s%s; add --help to the command to see its options", typed, hint)}
		}
		if name == "help" || name == "h" {
			return []string{args[0], args[1], "--help"}, nil
		}
		flags = append(flags, a)
		if value == "" || has {
			continue
		}
		if i++; i >= len(args) || args[i] == "--" {
			return nil, exit{statusUsage, fmt.Errorf("%s needs a value: %s; add --help to the command to see its options", a, value)}
		}
		flags = append(flags, args[i])
	}
	out := append(slices.Clone(args[:2]), flags...)
	if len(rest) > 0 && strings.HasPrefix(rest[0], "-") {
		out = append(out, "--")
	}
	return append(out, rest...), nil
}

// dashed writes a flag as people type it.
func dashed(name string) string {
	if len(name) == 1 {
		return "-" + name
	}
	return "--" + name
}

// valueName returns what a flag's usage calls its value: the word between backquotes.
func valueName(usage string) string {
	if _, rest, ok := strings.Cut(usage, "`"); ok {
		if word, _, ok := strings.Cut(rest, "`"); ok {
			return word
		}
	}
	return "VALUE"
}

// noCommand says that there is no command of a name, and which may be meant.
func noCommand(name string, commands []*cli.Command) error {
	hint := ""
	var names []string
	for _, c := range commands {
		names = append(names, c.Name)
	}
	if n, ok := vocabulary.Nearest(name, names); ok {
		hint = fmt.Sprintf(" (did you mean %q?)", n)
	} else if info, err := os.Stat(name); err == nil && info.IsDir() {
		hint = fmt.Sprintf(" (to check that folder: voidline check %s)", name)
	}
	return exit{statusUsage, fmt.Errorf("no command %q%s; voidline help lists them", name, hint)}
}
