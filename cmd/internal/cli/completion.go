package cli

import (
	"fmt"
	"io"
	"strings"
)

// shellNames are the shells that completions can be made for, in the order of
// help.
var shellNames = []string{"bash", "zsh", "fish", "powershell"}

// writeCompletion prints a shell's completion, and says whether it knows it.
func writeCompletion(w io.Writer, shell string) bool {
	switch shell {
	case "bash":
		bashCompletion(w)
	case "zsh":
		zshCompletion(w)
	case "fish":
		fishCompletion(w)
	case "powershell":
		powershellCompletion(w)
	default:
		return false
	}
	return true
}

// completionIntro says where each shell looks for what is printed.
const completionIntro = `Try it in the running shell, or put it where the shell looks for good:

  bash        source <(burrcast completion bash)
              ~/.local/share/bash-completion/completions/burrcast
  zsh         source <(burrcast completion zsh), after compinit
              a file _burrcast in a folder of $fpath
  fish        burrcast completion fish | source
              ~/.config/fish/completions/burrcast.fish
  PowerShell  burrcast completion powershell | Out-String | Invoke-Expression
              a line of your $PROFILE
`

// completion prints what makes a shell complete verbs, flags and their words.
func (e *env) completion(args []string) int {
	if asksHelp(args) {
		return e.help([]string{"completion"})
	}
	if len(args) != 1 {
		return e.fail(fmt.Errorf("completion takes one shell: %s", strings.Join(shellNames, ", ")))
	}
	if writeCompletion(e.stdout, args[0]) {
		return exitClean
	}
	return e.fail(fmt.Errorf("no completion for %q, only for %s", args[0], strings.Join(shellNames, ", ")))
}

// verbNames are the first words.
func verbNames() []string {
	var out []string
	for _, v := range verbs() {
		out = append(out, v.name)
	}
	return out
}

// flagNames are the flags of a verb as typed.
func (v verb) flagNames() []string {
	out := []string{}
	for _, o := range v.options() {
		out = append(out, "--"+o.name)
		if o.short != "" {
			out = append(out, "-"+o.short)
		}
	}
	return out
}

// bashCompletion keeps to what the shell's version 3.2 knows. Where there is
// nothing to say it leaves names of files to the shell.
func bashCompletion(w io.Writer) {
	fmt.Fprintf(w, `# bash completion for %[1]s

_%[1]s() {
    local cur=${COMP_WORDS[COMP_CWORD]} flag=${COMP_WORDS[COMP_CWORD-1]} verb=check i words=
    # The shell takes "=" for a word of its own.
    if [ "$cur" = = ]; then
        cur=
    elif [ "$flag" = = ]; then
        flag=${COMP_WORDS[COMP_CWORD-2]}
    fi
    for ((i = 1; i < COMP_CWORD; i++)); do
        case ${COMP_WORDS[i]} in
        %[2]s) verb=${COMP_WORDS[i]}; break ;;
        esac
    done
    COMPREPLY=()
    case "$verb $flag" in
`, program, strings.Join(verbNames(), "|"))
	for _, v := range verbs() {
		for _, o := range v.options() {
			pattern := fmt.Sprintf("%q", v.name+" --"+o.name)
			switch {
			case o.value == "":
			case o.dir:
				fmt.Fprintf(w, "    %s) local IFS=$'\\n'; COMPREPLY=($(compgen -d -- \"$cur\")); return ;;\n", pattern)
			case len(o.words) > 0:
				fmt.Fprintf(w, "    %s) COMPREPLY=($(compgen -W %q -- \"$cur\")); return ;;\n", pattern, strings.Join(o.words, " "))
			default:
				fmt.Fprintf(w, "    %s) return ;;\n", pattern)
			}
		}
	}
	fmt.Fprintf(w, "    esac\n    case \"$verb $cur\" in\n")
	for _, v := range verbs() {
		flags := v.flagNames()
		if len(flags) > 0 {
			fmt.Fprintf(w, "    %q*) words=%q ;;\n", v.name+" -", strings.Join(flags, " "))
		}
		if follow, _ := v.follows(); len(follow) > 0 {
			fmt.Fprintf(w, "    %q*) words=%q ;;\n", v.name+" ", strings.Join(follow, " "))
		}
	}
	fmt.Fprintf(w, `    esac
    if [ "$COMP_CWORD" = 1 ]; then
        case "$cur" in
        -*) ;;
        *) words=%[2]q ;;
        esac
    fi
    [ -z "$words" ] || COMPREPLY=($(compgen -W "$words" -- "$cur"))
}

complete -o bashdefault -o default -F _%[1]s %[1]s
`, program, strings.Join(verbNames(), " "))
}

// single quotes a text for shells in which a quote is ended, escaped and begun
// again.
func single(s string) string { return "'" + strings.ReplaceAll(s, "'", `'\''`) + "'" }

// zshCompletion describes every flag, too.
func zshCompletion(w io.Writer) {
	spec := strings.NewReplacer(`\`, `\\`, "[", `\[`, "]", `\]`, ":", `\:`)
	fmt.Fprintf(w, "#compdef %[1]s\n# zsh completion for %[1]s\n\n_%[1]s() {\n    local context state state_descr line\n    typeset -A opt_args\n    local -a verbs\n    verbs=(\n", program)
	for _, v := range verbs() {
		fmt.Fprintf(w, "        %s\n", single(v.name+":"+strings.ReplaceAll(v.about, ":", `\:`)))
	}
	fmt.Fprint(w, `    )
    _arguments -C '1: :->verb' '*:: :->rest'
    case $state in
    verb)
        _describe -t verbs verb verbs
        _files
        ;;
    rest)
        case $words[1] in
`)
	for _, v := range verbs() {
		fmt.Fprintf(w, "        %s)\n            _arguments", v.name)
		for _, o := range v.options() {
			action := ""
			switch {
			case o.value == "":
			case o.dir:
				action = ":" + spec.Replace(o.value) + ":_files -/"
			case o.file:
				action = ":" + spec.Replace(o.value) + ":_files"
			case len(o.words) > 0:
				action = ":" + spec.Replace(o.value) + ":(" + strings.Join(o.words, " ") + ")"
			default:
				action = ":" + spec.Replace(o.value) + ": "
			}
			equals := ""
			if o.value != "" {
				equals = "="
			}
			fmt.Fprintf(w, " \\\n                %s", single("--"+o.name+equals+"["+spec.Replace(o.about)+"]"+action))
			if o.short != "" {
				fmt.Fprintf(w, " \\\n                %s", single("-"+o.short+"["+spec.Replace(o.about)+"]"+action))
			}
		}
		follow, files := v.follows()
		switch {
		case len(follow) > 0:
			fmt.Fprintf(w, " \\\n                %s", single("1:word:("+strings.Join(follow, " ")+")"))
		case files:
			fmt.Fprintf(w, " \\\n                %s", single("*:file:_files"))
		}
		fmt.Fprint(w, "\n            ;;\n")
	}
	fmt.Fprintf(w, `        *) _files ;;
        esac
        ;;
    esac
}

if [ "$funcstack[1]" = _%[1]s ]; then
    _%[1]s "$@"
else
    compdef _%[1]s %[1]s
fi
`, program)
}

func fishCompletion(w io.Writer) {
	quote := func(s string) string {
		return "'" + strings.NewReplacer(`\`, `\\`, "'", `\'`).Replace(s) + "'"
	}
	first := "__fish_use_subcommand"
	fmt.Fprintf(w, "# fish completion for %s\n\n", program)
	for _, v := range verbs() {
		fmt.Fprintf(w, "complete -c %s -n %s -a %s -d %s\n", program, first, v.name, quote(v.about))
	}
	for _, v := range verbs() {
		when := quote("__fish_seen_subcommand_from " + v.name)
		for _, o := range v.options() {
			line := fmt.Sprintf("complete -c %s -n %s -l %s", program, when, o.name)
			if o.short != "" {
				line += " -s " + o.short
			}
			switch {
			case o.value == "":
			case o.dir:
				line += " -x -a '(__fish_complete_directories)'"
			case o.file:
				line += " -r -F"
			case len(o.words) > 0:
				line += " -x -a " + quote(strings.Join(o.words, " "))
			default:
				line += " -x"
			}
			fmt.Fprintf(w, "%s -d %s\n", line, quote(o.about))
		}
		follow, files := v.follows()
		if len(follow) > 0 {
			fmt.Fprintf(w, "complete -c %s -n %s -f -a %s\n", program, when, quote(strings.Join(follow, " ")))
		} else if !files {
			fmt.Fprintf(w, "complete -c %s -n %s -f\n", program, when)
		}
	}
}

// powershellCompletion answers with nothing where files may stand, and the shell
// completes their names.
func powershellCompletion(w io.Writer) {
	quote := func(s string) string { return "'" + strings.ReplaceAll(s, "'", "''") + "'" }
	list := func(words []string) string {
		out := make([]string, len(words))
		for i, s := range words {
			out[i] = quote(s)
		}
		return "@(" + strings.Join(out, ", ") + ")"
	}
	fmt.Fprintf(w, `# PowerShell completion for %[1]s

Register-ArgumentCompleter -Native -CommandName %[1]s -ScriptBlock {
    param($wordToComplete, $commandAst, $cursorPosition)
    $verbs = [ordered]@{
`, program)
	for _, v := range verbs() {
		fmt.Fprintf(w, "        %s = %s\n", quote(v.name), quote(v.about))
	}
	fmt.Fprint(w, "    }\n    $flags = @{\n")
	for _, v := range verbs() {
		for _, o := range v.options() {
			fmt.Fprintf(w, "        %s = %s\n", quote(v.name+" --"+o.name), quote(o.about))
		}
	}
	fmt.Fprint(w, "    }\n    $values = @{\n")
	for _, v := range verbs() {
		for _, o := range v.options() {
			if o.value != "" {
				fmt.Fprintf(w, "        %s = %s\n", quote(v.name+" --"+o.name), list(o.words))
			}
		}
	}
	fmt.Fprint(w, "    }\n    $follows = @{\n")
	for _, v := range verbs() {
		if follow, _ := v.follows(); len(follow) > 0 {
			fmt.Fprintf(w, "        %s = %s\n", quote(v.name), list(follow))
		}
	}
	fmt.Fprint(w, `    }
    $words = @($commandAst.CommandElements | Select-Object -Skip 1 |
        Where-Object { $_.Extent.EndOffset -lt $cursorPosition } | ForEach-Object { $_.Extent.Text })
    $verb = $words | Where-Object { $verbs.Contains($_) } | Select-Object -First 1
    $previous = $words | Select-Object -Last 1
    $offer = @()
    if ($values.ContainsKey("$(if ($verb) { $verb } else { 'check' }) $previous")) {
        $offer = $values["$(if ($verb) { $verb } else { 'check' }) $previous"] | ForEach-Object { , @($_, $_) }
    } elseif ($wordToComplete.StartsWith('-')) {
        $prefix = "$(if ($verb) { $verb } else { 'check' }) "
        $offer = $flags.Keys | Where-Object { $_.StartsWith($prefix) } | Sort-Object |
            ForEach-Object { , @($_.Substring($prefix.Length), $flags[$_]) }
    } elseif (-not $words) {
        $offer = $verbs.Keys | ForEach-Object { , @($_, $verbs[$_]) }
    } elseif ($verb -and $follows.ContainsKey($verb)) {
        $offer = $follows[$verb] | ForEach-Object { , @($_, $_) }
    }
    $offer | Where-Object { $_[0].StartsWith($wordToComplete) } | ForEach-Object {
        [System.Management.Automation.CompletionResult]::new($_[0], $_[0], 'ParameterValue', $_[1])
    }
}
`)
}
