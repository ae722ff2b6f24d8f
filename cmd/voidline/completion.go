package main

import (
	"fmt"

	"github.com/urfave/cli/v2"
)

// The scripts ask the program itself for what may come next.
var completions = map[string]string{
	"bash": `_voidline() {
  local words
  words=$("${COMP_WORDS[@]:0:$COMP_CWORD}" "${COMP_WORDS[$COMP_CWORD]}" --generate-bash-completion 2>/dev/null)
  COMPREPLY=($(compgen -W "$words" -- "${COMP_WORDS[$COMP_CWORD]}") $(compgen -d -- "${COMP_WORDS[$COMP_CWORD]}"))
}
complete -o bashdefault -o default -F _voidline voidline
`,
	"zsh": `#compdef voidline
_voidline() {
  local -a words
  words=("${(@f)$(${words[@]:0:#words[@]-1} ${words[-1]} --generate-bash-completion 2>/dev/null)}")
  _describe 'voidline' words
  _files -/
}
compdef _voidline voidline
`,
	"fish": `complete -c voidline -f -a '(__fish_complete_directories)'
complete -c voidline -n '__fish_use_subcommand' -a '(voidline --generate-bash-completion)'
`,
}

func completionCommand(w *world) *cli.Command {
	return &cli.Command{
		Name:         "completion",
		Usage:        "print a completion script for bash, zsh or fish",
		ArgsUsage:    "SHELL",
		Description:  "For bash:  source <(voidline completion bash)",
		OnUsageError: usageError,
		Action: func(c *cli.Context) error {
			s, ok := completions[c.Args().First()]
			if !ok || c.NArg() != 1 {
				return exit{statusUsage, fmt.Errorf("completion needs bash, zsh or fish")}
			}
			_, err := fmt.Fprint(w.out, s)
			return err
		},
	}
}
